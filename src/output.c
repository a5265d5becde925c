#include "config.h"

#include "output.h"

#include <errno.h>
#include <fcntl.h>
#include <stdarg.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/arena.h"
#include "base/text.h"
#include "report/glyph.h"

void output_complain(const char *format, ...)
{
    struct arena *arena = arena_new();
    struct text plain = {0};
    const char *raw;
    va_list args;

    va_start(args, format);
    raw = arena_vprint(arena, format, args);
    va_end(args);
    text_add(&plain, "prearc: ");
    glyph_add_plain(&plain, raw, strlen(raw));
    text_add_char(&plain, '\n');
    fputs(text_bytes(&plain), stderr);
    text_free(&plain);
    arena_free(arena);
}

/* All of TEXT to DESCRIPTOR; errno tells why not. */
static bool write_all(int descriptor, const struct text *text)
{
    for (size_t done = 0; done < text->length;) {
        ssize_t wrote = write(descriptor, text->bytes + done, text->length - done);

        if (wrote < 0 && errno != EINTR)
            return false;
        done += wrote > 0 ? (size_t)wrote : 0;
    }
    return true;
}

static bool complain_about(const char *name)
{
    output_complain("cannot write %s: %s", name, strerror(errno));
    return false;
}

static bool write_directly(const char *path, const struct text *text)
{
    int descriptor = open(path, O_WRONLY | O_CLOEXEC);
    bool good = descriptor >= 0 && write_all(descriptor, text);

    if (descriptor >= 0 && close(descriptor) != 0)
        good = false;
    return good || complain_about(path);
}

/* The mode PATH has, or a new file would get. */
static mode_t mode_for(const char *path)
{
    struct stat status;
    mode_t mask;

    if (stat(path, &status) == 0)
        return status.st_mode & 07777;
    mask = umask(0);
    umask(mask);
    return 0666 & ~mask;
}

static bool fill(int descriptor, const char *path, const struct text *text)
{
    bool good = write_all(descriptor, text) && fchmod(descriptor, mode_for(path)) == 0 &&
                fsync(descriptor) == 0;
    int error = errno;

    if (close(descriptor) != 0 && good)
        return false;
    errno = error;
    return good;
}

/* PATH's target if it is a link to a file, so that the file is replaced and not the link. */
static char *resolve(struct arena *arena, const char *path)
{
    char *real = realpath(path, NULL), *copy = arena_copy(arena, real != NULL ? real : path);

    free(real);
    return copy;
}

static bool replace(const char *path, const struct text *text)
{
    struct arena *arena = arena_new();
    const char *target = resolve(arena, path);
    char *temporary = arena_print(arena, "%s.XXXXXX", target);
    int descriptor = mkstemp(temporary);
    bool good = descriptor >= 0 && fill(descriptor, target, text) && rename(temporary, target) == 0;

    if (!good) {
        complain_about(path);
        if (descriptor >= 0)
            unlink(temporary);
    }
    arena_free(arena);
    return good;
}

bool output_write(const char *path, const struct text *text)
{
    struct stat status;

    if (path == NULL)
        return write_all(STDOUT_FILENO, text) || complain_about("standard output");
    if (stat(path, &status) == 0 && !S_ISREG(status.st_mode))
        return write_directly(path, text);
    return replace(path, text);
}

bool output_is_input(const char *path, const char *const *inputs, size_t count)
{
    struct stat output, input;

    if (path == NULL || stat(path, &output) != 0 || !S_ISREG(output.st_mode))
        return false;
    for (size_t i = 0; i < count; i++)
        if (stat(inputs[i], &input) == 0 && input.st_dev == output.st_dev &&
            input.st_ino == output.st_ino)
            return true;
    return false;
}

bool output_has_colour(const char *path)
{
    const char *refused = getenv("NO_COLOR"), *terminal = getenv("TERM");

    return path == NULL && (refused == NULL || refused[0] == '\0') && isatty(STDOUT_FILENO) &&
           terminal != NULL && strcmp(terminal, "dumb") != 0;
}
