#!/bin/sh
# Puts the npm packages of tests/node/package.json into $top_builddir/tests/npm, once. Exit 77: they cannot be had, and
# that is no failure; 1: they cannot be had where CI runs.
set -u

modules=$top_builddir/tests/npm
mkdir -p "$modules"
exec 9>"$modules/lock"
flock 9
[ -f "$modules/complete" ] && exit 0
cp "$top_srcdir/tests/node/package.json" "$modules"/
if (cd "$modules" && npm install --silent --no-audit --no-fund --ignore-scripts) >"$modules/log" 2>&1; then
    touch "$modules/complete"
    exit 0
fi
cat "$modules/log"
if [ -n "${CI:-}" ]; then
    echo "FAIL the npm packages must be installed where CI runs"
    exit 1
fi
echo "*** SKIPPED: npm packages could not be installed; nothing was checked by independent processors ***"
exit 77
