/* Files that a deck takes in. */
#define _XOPEN_SOURCE 700 /* realpath, PATH_MAX */
#include <errno.h>
#include <limits.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>
#include <sys/stat.h>

#include "base/arena.h"
#include "base/diag.h"
#include "netlist/spice_deck.h"

enum { FILES_MOST = 1000, BYTES_MOST = 64 * 1024 * 1024 };

/* The folder of PATH, with the slash at its end; "" for the current one. */
static const char *folder_of(struct arena *arena, const char *path)
{
    const char *slash = strrchr(path, '/');

    return slash != NULL ? arena_copy_span(arena, path, (size_t)(slash - path) + 1) : "";
}

/* PATH with symbolic links and ".." resolved, in the arena; NULL if there is no such file. */
static const char *canonical(struct arena *arena, const char *path)
{
    char *resolved = realpath(path, NULL);
    const char *copy = resolved != NULL ? arena_copy(arena, resolved) : NULL;

    free(resolved);
    return copy;
}

static bool line_starts_with(const char *text, size_t left, const char *word)
{
    size_t length = strlen(word);

    return left >= length && strncasecmp(text, word, length) == 0;
}

/* Finds the last .ends and whether there is a .endl. */
static void survey(struct spice_file *file)
{
    const struct source *source = file->cursor.source;
    size_t at = 0;

    while (at < source->length) {
        const char *start = source->text + at;
        const char *end = memchr(start, '\n', source->length - at);
        size_t length = end != NULL ? (size_t)(end - start) : source->length - at, front = 0;

        while (front < length && spice_is_blank(start[front]))
            front++;
        if (line_starts_with(start + front, length - front, ".ends"))
            file->last_ends = at;
        if (line_starts_with(start + front, length - front, ".endl"))
            file->sectioned = true;
        at += length + 1;
    }
}

static void open_file(struct spice_deck *deck, const struct source *source,
                      const struct spice_file *opened)
{
    struct spice_file *file = &deck->files[deck->file_count++];

    *file = *opened;
    file->cursor = spice_cursor_start(source);
    survey(file);
    if (memchr(source->text, '\0', source->length) != NULL)
        diag_input(deck->diags, LEVEL_WARNING, (struct place){.source = source, .line = 1}, NULL,
                   "text", "%s holds NUL bytes; they are read as blanks", source->name);
}

void spice_open_main(struct spice_deck *deck, const struct source *source)
{
    const char *folder = folder_of(deck->arena, source->name);

    deck->folder_as_given = folder;
    deck->folder = canonical(deck->arena, *folder != '\0' ? folder : ".");
    open_file(deck, source, &(struct spice_file){.path = canonical(deck->arena, source->name)});
}

void spice_close_file(struct spice_deck *deck)
{
    const struct spice_file *file = &deck->files[--deck->file_count];

    if (file->section != NULL && file->sectioned && !file->section_found)
        diag_input(deck->diags, LEVEL_WARNING, spice_place(file->includer, 0),
                   file->includer->text, "a section that is there", "%s has no section %.200s",
                   file->cursor.source->name, file->section);
}

static void refuse(struct spice_deck *deck, const struct spice_line *line,
                   const struct spice_token *path, enum level level, const char *expected,
                   const char *why)
{
    diag_input(deck->diags, level, spice_place(line, path->value), path->text, expected,
               "%.200s is not read: %s%s", path->text, why,
               level == LEVEL_WARNING ? "; parts and models in it are missing" : "");
}

static bool is_inside(const struct spice_deck *deck, const char *path)
{
    size_t length = deck->folder != NULL ? strlen(deck->folder) : 0;

    if (length == 0 || strncmp(path, deck->folder, length) != 0)
        return false;
    return path[length] == '/' || deck->folder[length - 1] == '/';
}

static bool is_open(const struct spice_deck *deck, const char *path)
{
    for (size_t i = 0; i < deck->file_count; i++)
        if (deck->files[i].path != NULL && strcmp(deck->files[i].path, path) == 0)
            return true;
    return false;
}

/* PATH as seen from the including file's folder, then from the deck's. */
static const char *find_file(struct spice_deck *deck, const struct spice_line *line,
                             const char *path)
{
    const char *folder = folder_of(deck->arena, line->source->name), *found;

    if (path[0] == '/')
        return canonical(deck->arena, path);
    found = canonical(deck->arena, arena_print(deck->arena, "%s%s", folder, path));
    if (found == NULL && deck->folder != NULL)
        found = canonical(deck->arena, arena_print(deck->arena, "%s/%s", deck->folder, path));
    return found;
}

/* A path as other systems write it: drive letters never fit here, backslashes become slashes. */
static const char *slashes(struct arena *arena, const char *path)
{
    char *copy = arena_copy(arena, path);

    for (char *c = copy; *c != '\0'; c++)
        if (*c == '\\')
            *c = '/';
    return copy;
}

/* The canonical PATH as the user would write it: messages need not tell where the folder is. */
static const char *shown(struct spice_deck *deck, const char *path)
{
    const char *rest = path;

    if (!is_inside(deck, path))
        return path;
    rest += strlen(deck->folder);
    rest += *rest == '/';
    return arena_print(deck->arena, "%s%s", deck->folder_as_given, rest);
}

/* Reads the file at the canonical PATH and opens it. */
static void take_in(struct spice_deck *deck, const struct spice_line *line,
                    const struct spice_token *token, const char *path, const char *section)
{
    const struct source *source;
    struct stat status;

    if (stat(path, &status) != 0 || !S_ISREG(status.st_mode)) {
        refuse(deck, line, token, LEVEL_WARNING, "a plain file", "it is no plain file");
        return;
    }
    deck->included_files++;
    deck->included_bytes += (size_t)status.st_size;
    if (deck->included_files > FILES_MOST || deck->included_bytes > BYTES_MOST) {
        refuse(deck, line, token, LEVEL_ERROR, "at most 1000 files of together 64 MiB",
               "too much is included");
        return;
    }
    source = source_read(deck->arena, deck->diags, shown(deck, path));
    if (source != NULL)
        open_file(deck, source,
                  &(struct spice_file){.path = path, .section = section, .includer = line});
}

void spice_include(struct spice_deck *deck, const struct spice_line *line,
                   const struct spice_token *token, const char *section)
{
    const char *text = token->text, *path = NULL;
    bool anywhere = deck->options != NULL && deck->options->include_anywhere;

    if (text[0] == '\'' && strlen(text) > 2)
        text = arena_copy_span(deck->arena, text + 1, strlen(text) - 2);
    if (strlen(text) < PATH_MAX)
        path = find_file(deck, line, slashes(deck->arena, text));
    if (path == NULL)
        refuse(deck, line, token, LEVEL_WARNING, "a file that is there", "there is no such file");
    else if (!anywhere && !is_inside(deck, path))
        refuse(deck, line, token, LEVEL_WARNING, "a file in the deck's folder or below it",
               "it is outside the deck's folder");
    else if (is_open(deck, path))
        refuse(deck, line, token, LEVEL_ERROR, "another file", "it would include itself");
    else if (deck->file_count == SPICE_FILES_DEEPEST)
        refuse(deck, line, token, LEVEL_ERROR, "fewer files inside each other",
               "files include each other too deep");
    else
        take_in(deck, line, token, path, section);
}
