#!/bin/sh
# On every fixture: the facts document is valid against rules/facts.rng, an independent Schematron processor (npm
# node-schematron) finds what prearc finds, the SARIF report is valid against the published schema (carried by npm
# @microsoft/jest-sarif, checked by ajv) and the JSON report against rules/findings.schema.json, and both tell the same.
set -u

prearc=$top_builddir/prearc
modules=$top_builddir/tests/npm
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0 failed=0

fail() {
    echo "FAIL $1"
    failed=$((failed + 1))
}

if [ -n "${PREARC_SANITIZED:-}" ]; then
    # The plain build is compared with the independent processors; here every fixture only has to run clean.
    for netlist in "$top_srcdir"/netlists/*/*/*.* "$top_srcdir"/tests/rules/*/*.* "$top_srcdir"/tests/coverage/*.cir \
        "$top_srcdir"/tests/coverage/*.xml; do
        "$prearc" check --format sarif "$netlist" >"$work/out" 2>"$work/stderr"
        [ $? -le 2 ] || fail "$netlist: $(tail -n 3 "$work/stderr")"
        passed=$((passed + 1))
    done
    echo "$passed passed, $failed failed"
    exit "$failed"
fi
sh "$top_srcdir/tests/node/install.sh" || exit $?

number=0
for netlist in "$top_srcdir"/netlists/*/*/*.* "$top_srcdir"/tests/supplies/*.cir "$top_srcdir"/tests/rules/*/*.* \
    "$top_srcdir"/tests/coverage/*.cir "$top_srcdir"/tests/coverage/*.xml "$top_srcdir"/tests/stages/*.cir; do
    [ -f "$netlist" ] || continue
    number=$((number + 1))
    "$prearc" facts "$netlist" >"$work/$number.facts.xml" 2>"$work/stderr"
    [ $? -le 2 ] || fail "$netlist: prearc facts died"
    [ -s "$work/$number.facts.xml" ] || { fail "$netlist: no facts"; continue; }
    "$prearc" check --format sarif "$netlist" >"$work/$number.sarif" 2>>"$work/stderr"
    [ $? -le 2 ] || fail "$netlist: prearc check died"
    "$prearc" check --format json "$netlist" >"$work/$number.json" 2>>"$work/stderr"
    [ $? -le 2 ] || fail "$netlist: prearc check died"
    "$top_builddir/tests/list" findings "$netlist" | grep -v '	input	' | sort >"$work/$number.findings"
    echo "$netlist" >"$work/$number.name"
    if xmllint --noout --nonet --relaxng "$top_srcdir/rules/facts.rng" "$work/$number.facts.xml" 2>"$work/stderr"; then
        passed=$((passed + 1))
    else
        fail "$netlist: facts are not valid: $(grep -v 'fails to validate' "$work/stderr" | head -n 3)"
    fi
done
NODE_PATH=$modules/node_modules node "$top_srcdir/tests/node/verify.cjs" "$top_srcdir/rules/checks" "$work" >"$work/verdict"
[ $? = 0 ] || failed=$((failed + 1))
cat "$work/verdict"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
