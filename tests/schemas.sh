#!/bin/sh
# On every fixture: the facts document is valid against rules/facts.rng, an independent Schematron processor (npm
# node-schematron) finds what prearc finds, the SARIF report is valid against the published schema (carried by npm
# @microsoft/jest-sarif, checked by ajv) and the JSON report against rules/findings.schema.json, and both tell the same.
set -u

modules=$top_builddir/tests/npm
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
SOURCE_DATE_EPOCH=1767225600 # 1 January 2026: acceptances have ends
export SOURCE_DATE_EPOCH
passed=0 failed=0

fail() {
    echo "FAIL $1"
    failed=$((failed + 1))
}

# The bench file beside netlist $1 is read with it.
bench_of() {
    bench=${1%.*}.bench
    [ -f "$bench" ] || bench=
}

# One process a netlist writes every form; two netlists at a time, or as many as there are cores.
number=0
for netlist in "$top_srcdir"/netlists/*/*/*.* "$top_srcdir"/tests/supplies/*.cir "$top_srcdir"/tests/rules/*/*.* \
    "$top_srcdir"/tests/coverage/*.cir "$top_srcdir"/tests/coverage/*.xml "$top_srcdir"/tests/stages/*.cir; do
    [ -f "$netlist" ] && [ "$netlist" = "${netlist%.bench}" ] || continue
    # LEFT OUT under the sanitizers: fixtures.sh, coverage.sh and goldens.sh run the others through the same program.
    case ${PREARC_SANITIZED:-}$netlist in
    1*/netlists/*/xml/sound.xml | 1*/tests/stages/*.cir | 1*/tests/supplies/half-wave.cir) ;;
    1*) continue ;;
    esac
    bench_of "$netlist"
    number=$((number + 1))
    echo "$netlist" >"$work/$number.name"
    echo "$bench" >"$work/$number.bench"
    echo "$number"
done >"$work/numbers"
number=$(tail -n 1 "$work/numbers")
xargs -n 1 -P "$(nproc)" sh -c '
    bench=$(cat "$2/$3.bench")
    "$1/tests/list" "$2/$3." "$(cat "$2/$3.name")" ${bench:+--bench "$bench"} 2>"$2/$3.err" || echo "$?" >"$2/$3.status"' \
    sh "$top_builddir" "$work" <"$work/numbers"

# One process validates all facts, and says "FILE validates" of each that is. Under the sanitizers it only has to run clean.
: >"$work/valid"
[ -n "${PREARC_SANITIZED:-}" ] ||
    xmllint --noout --nonet --relaxng "$top_srcdir/rules/facts.rng" "$work"/*.facts.xml 2>"$work/valid"
valid=$(grep -c ' validates$' "$work/valid")
grep -v ' validates$' "$work/valid" | head -n 40
told=0
for at in $(seq "$number"); do
    read -r netlist <"$work/$at.name"
    [ ! -e "$work/$at.status" ] || fail "$netlist: exit $(cat "$work/$at.status"): $(tail -n 3 "$work/$at.err")"
    if [ -s "$work/$at.facts.xml" ]; then told=$((told + 1)); else fail "$netlist: no facts"; fi
done
passed=$told
[ -n "${PREARC_SANITIZED:-}" ] || [ "$valid" = "$told" ] || fail "facts of $((told - valid)) of $told netlists are not valid"
if [ -n "${PREARC_SANITIZED:-}" ]; then
    echo "$passed passed, $failed failed"
    exit "$failed"
fi
for dialect in "$top_srcdir"/rules/dialects/*.xml "$top_srcdir"/tests/netlist/xml/*dialect.xml; do
    if xmllint --noout --nonet --relaxng "$top_srcdir/rules/dialects/dialect.rng" "$dialect" 2>"$work/stderr"; then
        passed=$((passed + 1))
    else
        fail "$dialect is not valid: $(grep -v 'fails to validate' "$work/stderr" | head -n 3)"
    fi
done
sh "$top_srcdir/tests/node/install.sh" || exit $?
NODE_PATH=$modules/node_modules node "$top_srcdir/tests/node/verify.cjs" "$top_srcdir/rules/checks" "$work" >"$work/verdict"
[ $? = 0 ] || failed=$((failed + 1))
cat "$work/verdict"
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
