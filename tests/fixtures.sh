#!/bin/sh
# tests/rules/RULE/bad-WHY.cir must give a finding of RULE, good-WHY.cir none; every rule has both.
set -u

list=$top_builddir/tests/list
cases=$top_srcdir/tests/rules
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
for case in "$cases"/*/*; do
    rule=$(basename "$(dirname "$case")")
    found=$("$list" findings "$case" | cut -f 2 | grep -cx "$rule")
    case $(basename "$case") in
    bad-*) if [ "$found" -gt 0 ]; then passed=$((passed + 1)); else fail "$case: no finding"; fi ;;
    good-*) if [ "$found" = 0 ]; then passed=$((passed + 1)); else
                fail "$case: $("$list" findings "$case" | grep "	$rule	")"; fi ;;
    *) fail "$case: neither bad- nor good-" ;;
    esac
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
