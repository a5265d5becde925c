/* What `prearc trace` shows of a fuse and of a net. */
#ifndef PREARC_TRACE_VIEW_H
#define PREARC_TRACE_VIEW_H

#include <stddef.h>

struct part;
struct run;
struct sheet;

/* Which rails and nodes fuse PART protects, against which source, and how it is reached. */
void trace_view_fuse(const struct run *run, const struct sheet *sheet, const struct part *part);

/* Which fuses protect node NODE of the network, its rails, and the way from their sources. */
void trace_view_net(const struct run *run, const struct sheet *sheet, size_t node);

#endif
