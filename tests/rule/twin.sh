#!/bin/sh
# On every facts fixture of the checks an independent Schematron processor (npm node-schematron) finds the same
# (file, rule, object, level) lines as prearc's engine.
set -u

modules=$top_builddir/tests/npm
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

[ -n "${PREARC_SANITIZED:-}" ] || sh "$top_srcdir/tests/node/install.sh" || exit $?
top=$(cd "$top_srcdir" && pwd) || exit 1
"$top_builddir/tests/rule/findings" "$top/rules/checks" "$top"/tests/rule/facts/*/*.xml >"$work/unsorted" || exit 1
LC_ALL=C sort "$work/unsorted" >"$work/ours"
if [ -n "${PREARC_SANITIZED:-}" ]; then
    echo "LEFT OUT under the sanitizers: the other engine; ours found $(wc -l <"$work/ours") things and ran clean"
    [ -s "$work/ours" ]
    exit $?
fi
(cd "$modules" && node "$top/tests/rule/schematron-twin.mjs" "$top/rules/checks" "$top"/tests/rule/facts/*/*.xml) \
    >"$work/unsorted" || exit 1
LC_ALL=C sort "$work/unsorted" >"$work/theirs"
if ! diff "$work/ours" "$work/theirs"; then
    echo "FAIL the engines differ: < prearc, > node-schematron"
    exit 1
fi
[ -s "$work/ours" ] || { echo "FAIL nothing was found at all"; exit 1; }
echo "both engines find the same $(wc -l <"$work/ours") things"
