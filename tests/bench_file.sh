#!/bin/sh
# The commonest find at the bench, whatever the amplifier: an HT link of twenty times what the design says, 5 A for 250 mA, is an
# error that says what fails in its place; with the right link the same amplifier is quiet.
set -u

prearc=$top_builddir/prearc
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

fail() {
    echo "FAIL $1"
    failed=1
}

# netlist, what the design says, what somebody guessed
while read -r netlist design guess; do
    # LEFT OUT under the sanitizers: the whole demos, which readme.sh runs with a bench file
    [ -z "${PREARC_SANITIZED:-}" ] || [ "$netlist" != "${netlist#tests/}" ] || continue
    printf 'part ref=F2 rating=%s # the design\nfitted part=F2 marking=%s\n' "$design" "$guess" >"$work/wrong.bench"
    printf 'part ref=F2 rating=%s\nfitted part=F2 marking="%s"\n' "$design" "$(echo "$design" | sed 's/mA/ mA /; s/T/T /')" >"$work/right.bench"
    "$prearc" check --format sarif --bench "$work/wrong.bench" "$top_srcdir/$netlist" >"$work/wrong"
    [ $? = 1 ] || fail "$netlist: $guess for $design is no error"
    grep -A 3 '"ruleId": "fuse-fitted-differs"' "$work/wrong" | grep -q '"level": "error"' ||
        fail "$netlist: no error of fuse-fitted-differs"
    grep -q "$guess is in the holder where the design says $design, 20 times.* would fail in its place" \
        "$work/wrong" || fail "$netlist: it does not say what fails: $(grep 'in the holder' "$work/wrong")"
    grep -Eq 'need not open below [0-9.]+ A; [A-Z0-9 ]*(T1|RHA)[A-Z0-9 ]* would fail' "$work/wrong" ||
        fail "$netlist: the winding is not named: $(grep 'in the holder' "$work/wrong")"
    # coupled inductors state no rating, these resistors no watts and these capacitors no volts: all stay open, whatever the links
    "$prearc" check --fail-on unverified --skip fuse-nuisance-at-switch-on --skip resistor-over-rating \
        --skip capacitor-over-volts --bench "$work/right.bench" \
        "$top_srcdir/$netlist" >"$work/right" ||
        fail "$netlist: the right link is not quiet: $(grep -E '(error|warning|unverified): ' "$work/right")"
    grep -q fuse-fitted-differs "$work/right" && fail "$netlist: the right link differs"
    "$prearc" facts --fitted "f2=$guess" "$top_srcdir/$netlist" | grep -q 'fitted-need="too-large"' ||
        fail "$netlist: --fitted is not the same thing"
done <<'LIST'
netlists/heronsgate-40/spice/sound.cir T500mAH250V T10AH250V
netlists/heronsgate-40/xml/sound.xml T500mAH250V T10AH250V
tests/stages/push-pull-cathode-bias.cir T250mAL250V T5AL250V
tests/supplies/centre-tap-after.cir T250mAL250V T5AL250V
LIST
[ "$failed" = 0 ] && echo "a link twenty times too large is seen in every netlist"
exit "$failed"
