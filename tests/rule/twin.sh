#!/bin/sh
# On every facts fixture of the checks an independent Schematron processor (npm node-schematron) finds the same
# (file, rule, object, level) lines as prearc's engine.
set -u

modules=$top_builddir/tests/node
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

if ! [ -d "$modules/node_modules" ]; then
    mkdir -p "$modules"
    [ -f "$modules/package.json" ] || cp "$top_srcdir/tests/node/package.json" "$modules"/
    (cd "$modules" && npm install --silent --no-audit --no-fund --ignore-scripts) >"$work/npm" 2>&1 || {
        cat "$work/npm"
        rm -rf "$modules/node_modules"
        if [ -n "${CI:-}" ]; then
            echo "FAIL the npm packages must be installed where CI runs"
            exit 1
        fi
        echo "*** SKIPPED: npm packages could not be installed; the checks were NOT compared with an independent engine ***"
        exit 77
    }
fi
top=$(cd "$top_srcdir" && pwd) || exit 1
"$top_builddir/tests/rule/findings" "$top/rules/checks" "$top"/tests/rule/facts/*/*.xml >"$work/unsorted" || exit 1
LC_ALL=C sort "$work/unsorted" >"$work/ours"
(cd "$modules" && node "$top/tests/rule/schematron-twin.mjs" "$top/rules/checks" "$top"/tests/rule/facts/*/*.xml) \
    >"$work/unsorted" || exit 1
LC_ALL=C sort "$work/unsorted" >"$work/theirs"
if ! diff "$work/ours" "$work/theirs"; then
    echo "FAIL the engines differ: < prearc, > node-schematron"
    exit 1
fi
[ -s "$work/ours" ] || { echo "FAIL nothing was found at all"; exit 1; }
echo "both engines find the same $(wc -l <"$work/ours") things"
