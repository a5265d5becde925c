/* Where the data (checks, dialects, parts) is. */
#ifndef PREARC_DATA_DIR_H
#define PREARC_DATA_DIR_H

struct arena;

/* The folder that holds checks/, dialects/ and parts/: PREARC_DATA from the environment if it is
 * set; else rules/ near the program if that lies in a build tree; else where it was installed. */
const char *data_dir_find(struct arena *arena);

#endif
