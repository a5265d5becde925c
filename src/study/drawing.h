/* Pieces that the pictures of the bench sheet are made of: SVG 1.1 elements. Lengths in user units (about a CSS pixel). */
#ifndef PREARC_STUDY_DRAWING_H
#define PREARC_STUDY_DRAWING_H

struct text;

/* Opens an svg element of WIDTH x HEIGHT that screen readers call TITLE. */
void draw_start(struct text *out, double width, double height, const char *title);
void draw_end(struct text *out);
/* LABEL of at most COLUMNS characters with its base line at X, Y; ANCHOR: "start", "middle" or "end". */
void draw_label(struct text *out, double x, double y, const char *anchor, double size, const char *label,
                unsigned columns);
void draw_line(struct text *out, double x1, double y1, double x2, double y2, const char *more);
/* MORE: further attributes, as they are. */
void draw_box(struct text *out, double x, double y, double width, double height, double radius,
              const char *more);

#endif
