#!/bin/sh
# Runs every fuzz target from its seeds for SECONDS each (60). Run by `make fuzz`; what is found stays in the build folder.
set -u

export PREARC_DATA_DIR="$top_srcdir/rules"
failed=0
for target in "$top_builddir"/tests/fuzz/fuzz_*; do
    name=${target##*/fuzz_}
    case $name in *.*) continue ;; esac
    corpus=$top_builddir/tests/fuzz/corpus-$name
    mkdir -p "$corpus"
    echo "Fuzzing: $name, ${SECONDS_EACH:-60} s"
    nice "$target" -max_total_time="${SECONDS_EACH:-60}" -timeout=20 -rss_limit_mb=2048 -max_len=4096 \
        -print_final_stats=0 -artifact_prefix="$top_builddir/tests/fuzz/$name-" "$corpus" \
        "$top_srcdir/tests/fuzz/$name" >"$corpus.log" 2>&1 || {
        echo "FAIL $name"
        grep -E 'ERROR|SUMMARY|artifact' "$corpus.log"
        failed=1
    }
done
exit $failed
