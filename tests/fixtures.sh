#!/bin/sh
# tests/rules/RULE/bad-WHY.cir must give a finding of RULE, good-WHY.cir none; every rule has both. A bench file
# beside a netlist, bad-WHY.bench, is read with it. A folder holds several netlists that make one circuit.
set -u

list=$top_builddir/tests/list
cases=$top_srcdir/tests/rules
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
SOURCE_DATE_EPOCH=1767225600 # 1 January 2026: acceptances have ends
export SOURCE_DATE_EPOCH
passed=0 failed=0

fail() {
    echo "FAIL $1"
    failed=$((failed + 1))
}

for sheet in "$top_srcdir"/rules/checks/*.sch; do
    rule=$(basename "$sheet" .sch)
    for kind in bad good; do
        ls "$cases/$rule/$kind"-* >/dev/null 2>&1 || fail "$rule has no $kind fixture"
    done
done
# LEFT OUT under the sanitizers: the good ones, which differ from the bad ones by a figure or a part, and the first bad one
# of each check, which messages.sh runs.
last=
for case in "$cases"/*/*; do
    [ "$case" = "${case%.bench}" ] || continue
    rule=$(basename "$(dirname "$case")")
    if [ -n "${PREARC_SANITIZED:-}" ]; then
        case $(basename "$case") in good-*) continue ;; esac
        [ "$last" = "$rule" ] || { last=$rule; continue; }
    fi
    bench=${case%.*}.bench
    [ -f "$bench" ] || bench=
    [ ! -d "$case" ] && set -- "$case" || set -- "$case"/*.xml "$case"/*.cir
    "$list" findings "$@" ${bench:+--bench "$bench"} >"$work/findings"
    grep "	input	" "$work/findings" | grep -q '^error' && fail "$case: cannot be read"
    found=$(cut -f 2 "$work/findings" | grep -cx "$rule")
    case $(basename "$case") in
    bad-*) if [ "$found" -gt 0 ]; then passed=$((passed + 1)); else fail "$case: no finding"; fi ;;
    good-*) if [ "$found" = 0 ]; then passed=$((passed + 1)); else
                fail "$case: $(grep "	$rule	" "$work/findings")"; fi ;;
    *) fail "$case: neither bad- nor good-" ;;
    esac
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
