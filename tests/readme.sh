#!/bin/sh
# Runs every line of the shell blocks of README.md, but for the set-up commands (which run this test).
set -u

PATH=$(cd "$top_builddir" && pwd):$PATH
cd "$top_srcdir" || exit 1
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
ran=0

awk '/^```sh$/ { inside = 1; next } /^```/ { inside = 0 } inside' README.md | grep -v '\.ci/' >"$work/lines"
while IFS= read -r line; do
    if ! sh -c "$line" >"$work/out" 2>&1 </dev/null; then
        echo "FAIL $line"
        tail -n 5 "$work/out"
        exit 1
    fi
    ran=$((ran + 1))
done <"$work/lines"
echo "$ran lines of README.md ran"
[ "$ran" -gt 0 ]
