/* Gives every file of the fuzz corpora to its target, without a fuzzer: what was found once is found again at once, and
 * what was never found shows by the sanitizers in the build that has them. Usage: replay FOLDER... (named by target) */
#include <config.h>

#include <dirent.h>
#include <stdint.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "base/arena.h"
#include "base/text.h"

#define LLVMFuzzerTestOneInput fuzz_bench
#include "fuzz_bench.c"
#undef LLVMFuzzerTestOneInput
#define LLVMFuzzerTestOneInput fuzz_boards
#include "fuzz_boards.c"
#undef LLVMFuzzerTestOneInput
#define LLVMFuzzerTestOneInput fuzz_dialect
#include "fuzz_dialect.c"
#undef LLVMFuzzerTestOneInput
#define LLVMFuzzerTestOneInput fuzz_marking
#include "fuzz_marking.c"
#undef LLVMFuzzerTestOneInput
#define LLVMFuzzerTestOneInput fuzz_value
#include "fuzz_value.c"
#undef LLVMFuzzerTestOneInput
#define READER brackets_reader
#define LLVMFuzzerTestOneInput fuzz_brackets
#include "fuzz_reader.c"
#undef READER
#undef LLVMFuzzerTestOneInput
#define READER edif_reader
#define LLVMFuzzerTestOneInput fuzz_edif
#include "fuzz_reader.c"
#undef READER
#undef LLVMFuzzerTestOneInput
#define READER export_reader
#define LLVMFuzzerTestOneInput fuzz_export
#include "fuzz_reader.c"
#undef READER
#undef LLVMFuzzerTestOneInput
#define READER packages_reader
#define LLVMFuzzerTestOneInput fuzz_packages
#include "fuzz_reader.c"
#undef READER
#undef LLVMFuzzerTestOneInput
#define READER spice_reader
#define LLVMFuzzerTestOneInput fuzz_spice
#include "fuzz_reader.c"
#undef READER
#undef LLVMFuzzerTestOneInput
#define READER stamped_reader
#define LLVMFuzzerTestOneInput fuzz_stamped
#include "fuzz_reader.c"
#undef READER
#undef LLVMFuzzerTestOneInput
#define READER xml_reader
#define LLVMFuzzerTestOneInput fuzz_xml
#include "fuzz_reader.c"
#undef READER
#undef LLVMFuzzerTestOneInput

static const struct target {
    const char *name;
    int (*run)(const uint8_t *bytes, size_t length);
} targets[] = {
    {"bench", fuzz_bench},       {"boards", fuzz_boards}, {"brackets", fuzz_brackets}, {"dialect", fuzz_dialect},
    {"edif", fuzz_edif},         {"export", fuzz_export}, {"marking", fuzz_marking},   {"packages", fuzz_packages},
    {"spice", fuzz_spice},       {"stamped", fuzz_stamped}, {"value", fuzz_value},     {"xml", fuzz_xml},
};
enum { TARGETS = sizeof targets / sizeof *targets };

static const struct target *find_target(const char *folder)
{
    const char *slash = strrchr(folder, '/'), *name = slash != NULL ? slash + 1 : folder;

    for (size_t i = 0; i < TARGETS; i++)
        if (strcmp(targets[i].name, name) == 0)
            return &targets[i];
    return NULL;
}

/* False if PATH cannot be read. */
static bool replay_file(const struct target *target, const char *path)
{
    struct text bytes = {0};
    FILE *file = fopen(path, "rb");
    uint8_t *copy; /* of just that length, so that a read past the end is seen */
    int c;

    if (file == NULL) {
        perror(path);
        return false;
    }
    while ((c = getc(file)) != EOF)
        text_add_char(&bytes, (char)c);
    fclose(file);
    printf("%s\n", path); /* the last line of the log names what ended the run */
    fflush(stdout);
    copy = memory_alloc(bytes.length + 1);
    memcpy(copy, text_bytes(&bytes), bytes.length);
    target->run(copy, bytes.length);
    free(copy);
    text_free(&bytes);
    return true;
}

/* How many files of FOLDER ran; 0 is an error. */
static size_t replay_folder(const char *folder)
{
    const struct target *target = find_target(folder);
    DIR *directory = opendir(folder);
    size_t count = 0;

    if (target == NULL || directory == NULL) {
        fprintf(stderr, "%s: no folder of a fuzz target\n", folder);
        return 0;
    }
    for (const struct dirent *entry; (entry = readdir(directory)) != NULL;) {
        struct text path = {0};

        text_print(&path, "%s/%s", folder, entry->d_name);
        count += entry->d_name[0] != '.' && replay_file(target, path.bytes);
        text_free(&path);
    }
    closedir(directory);
    return count;
}

int main(int argc, char **argv)
{
    size_t all = 0;

    for (int i = 1; i < argc; i++) {
        size_t count = replay_folder(argv[i]);

        if (count == 0)
            return EXIT_FAILURE;
        all += count;
    }
    printf("%zu files replayed\n", all);
    return argc > TARGETS && all > 0 ? EXIT_SUCCESS : EXIT_FAILURE;
}
