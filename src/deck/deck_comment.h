/* Comments of a deck. */
#ifndef PREARC_DECK_DECK_COMMENT_H
#define PREARC_DECK_DECK_COMMENT_H

struct arena;
struct text;

/* One comment, folded into as many lines as it needs; the second and later ones are indented. */
void deck_comment(struct text *out, const char *format, ...) __attribute__((format(printf, 2, 3)));

/* WORDS as a comment may hold them: printable ASCII, the rest as \xNN; cut after some 60 characters. */
const char *deck_words(struct arena *arena, const char *words);

#endif
