#include "config.h"

#include "data_dir.h"

#include <limits.h>
#include <stdbool.h>
#include <stddef.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "base/arena.h"

static bool is_dir(const char *path)
{
    struct stat status;

    return stat(path, &status) == 0 && S_ISDIR(status.st_mode);
}

/* The folder of the running program; NULL if the system does not tell. */
static char *program_dir(struct arena *arena)
{
    char path[PATH_MAX];
    ssize_t length = readlink("/proc/self/exe", path, sizeof path);
    const char *slash;

    if (length <= 0 || (size_t)length >= sizeof path)
        return NULL;
    path[length] = '\0';
    slash = strrchr(path, '/');
    return slash != NULL ? arena_copy_span(arena, path, (size_t)(slash - path)) : NULL;
}

/* The top of the build tree that DIR lies in, which is where configure left its record: DIR or the
 * folder above (test programs). NULL: DIR is in no build tree. */
static const char *build_top(struct arena *arena, const char *dir)
{
    const char *above = arena_print(arena, "%s/..", dir);

    if (access(arena_print(arena, "%s/config.status", dir), F_OK) == 0)
        return dir;
    return access(arena_print(arena, "%s/config.status", above), F_OK) == 0 ? above : NULL;
}

/* rules/ in TOP, or in one of the two folders above it: a build folder inside the source tree. */
static const char *rules_near(struct arena *arena, const char *top)
{
    static const char *const up[] = {"", "/..", "/../.."};

    for (size_t i = 0; i < sizeof up / sizeof *up; i++) {
        const char *rules = arena_print(arena, "%s%s/rules", top, up[i]);

        if (is_dir(arena_print(arena, "%s/checks", rules)))
            return rules;
    }
    return NULL;
}

/* The data beside the program, PREFIX/bin/prearc and PREFIX/share/prearc: an installation may have been moved. */
static const char *rules_beside(struct arena *arena, const char *dir)
{
    const char *rules = arena_print(arena, "%s/../share/" PACKAGE_NAME "/rules", dir);

    return is_dir(arena_print(arena, "%s/checks", rules)) ? rules : NULL;
}

const char *data_dir_find(struct arena *arena)
{
    const char *told = getenv("PREARC_DATA"), *dir = program_dir(arena);
    const char *top = dir != NULL ? build_top(arena, dir) : NULL;
    const char *found = top != NULL ? rules_near(arena, top) : NULL;

    if (told != NULL && told[0] != '\0')
        return arena_copy(arena, told);
    if (found == NULL && dir != NULL)
        found = rules_beside(arena, dir);
    return found != NULL ? found : PREARC_DATA_DIR "/rules";
}
