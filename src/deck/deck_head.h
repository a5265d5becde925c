/* What a deck says before its first element. */
#ifndef PREARC_DECK_DECK_HEAD_H
#define PREARC_DECK_DECK_HEAD_H

struct arena;
struct deck_input;
struct deck_names;
struct text;

/* Title, cautions, mains, assumptions, what was left out, names that had to be changed. */
void deck_head(struct arena *arena, const struct deck_input *input, const struct deck_names *names,
               struct text *out);

#endif
