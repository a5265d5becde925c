#!/bin/sh
# The commonest find at the bench, whatever the amplifier: an HT link of 5 A where the design says 250 mA is an error that
# says what fails in its place; with the right link the same amplifier is quiet.
set -u

prearc=$top_builddir/prearc
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

fail() {
    echo "FAIL $1"
    failed=1
}

for netlist in netlists/heronsgate-40/spice/sound.cir netlists/heronsgate-40/xml/sound.xml \
    tests/stages/push-pull-cathode-bias.cir tests/supplies/centre-tap-after.cir; do
    printf 'part ref=F2 rating=T250mAH250V # the design\nfitted part=F2 marking=T5AH250V\n' >"$work/wrong.bench"
    printf 'part ref=F2 rating=T250mAH250V\nfitted part=F2 marking="T 250 mA H 250V"\n' >"$work/right.bench"
    "$prearc" check --format sarif --bench "$work/wrong.bench" "$top_srcdir/$netlist" >"$work/wrong"
    [ $? = 1 ] || fail "$netlist: 5 A for 250 mA is no error"
    grep -A 3 '"ruleId": "fuse-fitted-differs"' "$work/wrong" | grep -q '"level": "error"' ||
        fail "$netlist: no error of fuse-fitted-differs"
    grep -q 'T5AH250V is in the holder where the design says T250mAH250V, 20 times.* would fail in its place' \
        "$work/wrong" || fail "$netlist: it does not say what fails: $(grep 'in the holder' "$work/wrong")"
    grep -Eq 'need not open below 10.5 A; [A-Z0-9 ]*(T1|RHA)[A-Z0-9 ]* would fail' "$work/wrong" ||
        fail "$netlist: the winding is not named: $(grep 'in the holder' "$work/wrong")"
    "$prearc" check --fail-on unverified --bench "$work/right.bench" "$top_srcdir/$netlist" >"$work/right" ||
        fail "$netlist: the right link is not quiet: $(grep -E '(error|warning|unverified): ' "$work/right")"
    grep -q fuse-fitted-differs "$work/right" && fail "$netlist: the right link differs"
    "$prearc" facts --fitted f2=T5AH250V "$top_srcdir/$netlist" | grep -q 'fitted-need="too-large"' ||
        fail "$netlist: --fitted is not the same thing"
done
[ "$failed" = 0 ] && echo "a link twenty times too large is seen in four netlists"
exit "$failed"
