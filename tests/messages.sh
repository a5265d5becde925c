#!/bin/sh
# What each check says of its first bad fixture, one finding a level, and what it says to do: tests/goldens/messages, which
# somebody has read. Figures may differ by 2 %; words may not. UPDATE=1 rewrites it.
set -u
LC_ALL=C
SOURCE_DATE_EPOCH=1767225600 # 1 January 2026: acceptances have ends
export LC_ALL SOURCE_DATE_EPOCH

golden=$top_srcdir/tests/goldens/messages
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT

# The message and the to-do of each level, from JSON of one finding a block.
samples() {
    awk -v rule="$1" '
        function text(line) {
            sub(/^[^:]*: "/, "", line); sub(/",?$/, "", line); gsub(/\\"/, "\"", line)
            return line
        }
        /^     "rule": / { mine = text($0) == rule }
        /^     "level": / { level = text($0) }
        /^     "message": / { message = text($0) }
        /^     "to-do": / && mine && !seen[level]++ {
            printf "%s, %s\n  %s\n  To do: %s\n", rule, level, message, text($0)
        }'
}

for folder in "$top_srcdir"/tests/rules/*/; do
    rule=$(basename "$folder")
    # shellcheck disable=SC2046
    set -- $(ls -d "$folder"bad-* | grep -v '[.]bench$')
    bench=${1%.*}.bench
    [ -f "$bench" ] || bench=
    if [ -d "$1" ]; then set -- "$1"/*.xml "$1"/*.cir; else set -- "$1"; fi # several netlists that are one amplifier
    only="--only $rule"
    case $rule in acceptance-*) only= ;; esac # they are about other checks
    # shellcheck disable=SC2086
    "$top_builddir/prearc" check $only ${bench:+--bench "$bench"} --format json "$@" 2>/dev/null | samples "$rule"
done >"$work/said"

[ "${UPDATE:-}" = 1 ] && cp "$work/said" "$golden"
awk '
    function number(word) { gsub(/[(),;:]/, "", word); sub(/[.]$/, "", word); return word ~ /^-?[0-9.]+$/ ? word : "" }
    NR == FNR { want[NR] = $0; lines = NR; next }
    {
        count = split($0, a, " "); same = count == split(want[FNR], b, " ")
        for (i = 1; same && i <= count; i++)
            if (a[i] != b[i]) {
                x = number(a[i]); y = number(b[i])
                same = x != "" && y != "" && (x - y) ^ 2 <= (0.02 * y) ^ 2
            }
        if (!same) { printf "FAIL line %d says\n  %s\nand not\n  %s\n", FNR, $0, want[FNR]; bad++ }
    }
    END {
        if (FNR != lines) { print "FAIL " FNR " lines, and not " lines; bad++ }
        exit bad > 0
    }' "$golden" "$work/said" || exit 1
rules=$(sed -n 's/^\([a-z0-9-]*\), [a-z]*$/\1/p' "$work/said" | sort -u | wc -l)
[ "$rules" = "$(ls "$top_srcdir"/rules/checks/*.sch | wc -l)" ] || { echo "FAIL samples of $rules checks"; exit 1; }
echo "messages of $rules checks are as they were read"
