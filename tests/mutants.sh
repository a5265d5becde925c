#!/bin/sh
# The mutation corpus: sound circuits with one thing wrong, in every format; what check has to name which part is said by
# tests/mutants/mutate_*.c. Prints a table of checks, and every miss. A miss is an error unless tests/mutants/misses tells
# why. Sound circuits may have notes; what else they have is in tests/mutants/sound-says. ALL=1 takes every mutant (some minutes).
set -u

corpus=$top_builddir/tests/mutants/corpus
here=$top_srcdir/tests/mutants
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
PREARC_DATA=$top_srcdir/rules
SOURCE_DATE_EPOCH=1767225600 # 1 January 2026: acceptances have ends
export PREARC_DATA SOURCE_DATE_EPOCH
quick="3 1" slow="6 1" supplies="6 1" demos="1000 3" # of each hazard every so manyth mutant; every so manyth hazard
least=3000
# SAMPLED under the sanitizers: the quick circuits and the supplies; amplifiers run through goldens.sh and messages.sh.
[ -z "${PREARC_SANITIZED:-}" ] || { quick="1000 6" slow= supplies="1000 20" demos= least=150; }
[ -z "${ALL:-}" ] || { quick="1 1" slow="1 1" supplies="1 1" demos="1 1"; }
# Supplies for the comparison with a simulator: those that have a fuse where it belongs.
drawn=
for name in centre-tap-after centre-tap-lead doubler fuse-after-reservoir half-wave heater series-diodes split-bridge two-rails; do
    drawn="$drawn $top_srcdir/tests/supplies/$name.cir"
done

# One process for all: a second would solve every sound circuit again.
# shellcheck disable=SC2086
{
    "$corpus" "$work" 0 1 $quick "$here"/sound/quick/*.cir >"$work/quick" &&
        { [ -z "$slow" ] || "$corpus" "$work" 0 1 $slow "$here"/sound/slow/*.cir; } >"$work/slow" &&
        "$corpus" "$work" 0 1 $supplies $drawn >"$work/supplies" &&
        { [ -z "$demos" ] || "$corpus" "$work" 0 1 $demos "$top_srcdir"/netlists/*/spice/sound.cir; } >"$work/demos"
} || { echo "FAIL the corpus ended with $?"; exit 1; }
for sheet in "$top_srcdir"/rules/checks/*.sch; do basename "$sheet" .sch; done >"$work/rules"
cat "$work/quick" "$work/slow" "$work/supplies" "$work/demos" >"$work/all"

awk -F '\t' -v least="$least" -v sample="${PREARC_SANITIZED:-}" '
    FILENAME ~ /misses$/ { if ($0 !~ /^#/ && NF > 3) why[$1, $2, $3] = $4; next }
    FILENAME ~ /sound-says$/ { if ($0 !~ /^#/ && NF > 4) told[$1, $2, $3, $4] = $5; next }
    FILENAME ~ /none$/ { if ($0 !~ /^#/ && NF > 1) none[$1] = $2; next }
    FILENAME ~ /rules$/ { rule[$1] = 1; next }
    $1 == "mutant" {
        count[$2]++; all++; form[$3]++
        if ($4 == "caught") { caught[$2]++; good++ }
        else if ($4 == "unread") { print "FAIL unread: " $5 ", " $6 " (" $3 ")"; bad++ }
        else if (($2, $5, $6) in why) { if (!said[$2, $5, $6]++) print "missed: " $2 ", " $5 ", " $6 ": " why[$2, $5, $6] }
        else { print "FAIL missed: " $2 " of " $7 ", " $5 ", " $6 " (" $3 "); found " substr($8, 1, 300); bad++ }
    }
    $1 == "sound" {
        split($3, words, " ")
        name = $2; sub("/.*", "", name)
        if (words[1] == "note") next
        if (($2, words[1], words[2], words[3]) in told || (name "/*", words[1], words[2], "*") in told) { explained++; next }
        print "FAIL sound circuit " $2 ": " $3; bad++; unexplained++
    }
    END {
        printf "%-34s %8s %8s %8s\n", "check", "mutants", "caught", "missed"
        for (r in rule) {
            printf "%-34s %8d %8d %8d\n", r, count[r], caught[r], count[r] - caught[r] | "sort"
            if (count[r] > 0 && caught[r] < 0.99 * count[r]) { print "FAIL " r ": less than 99 % caught"; bad++ }
            if (count[r] == 0 && (r in none)) print r ": no mutant, " none[r]
            else if (count[r] == 0 && sample == "") { print "FAIL " r ": no mutant"; bad++ }
        }
        close("sort")
        for (f in form) line = line " " f " " form[f]
        print "formats:" line
        printf "%d mutants, %d caught (%.2f %%); of sound circuits %d findings explained, %d not\n", all, good, 100 * good / all, explained, unexplained
        if (all < least) { print "FAIL fewer than " least " mutants"; bad++ }
        exit bad > 0
    }' "$here/misses" "$here/sound-says" "$here/none" "$work/rules" "$work/all" >"$work/table" 2>&1 && status=0 || status=1
cat "$work/table"
exit "$status"
