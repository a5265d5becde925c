#!/bin/sh
# Every demo netlist gives the findings of its golden, the same from the deck and from the XML, and both give the same
# circuit. Goldens hold "level rule object" lines: tests/goldens/DEMO/NAME. UPDATE=1 rewrites them.
set -u

list=$top_builddir/tests/list
SOURCE_DATE_EPOCH=1767225600 # 1 January 2026, as in the other tests: each netlist is solved once for all
export SOURCE_DATE_EPOCH
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0 failed=0

fail() {
    echo "FAIL $1"
    failed=$((failed + 1))
}

for deck in "$top_srcdir"/netlists/*/spice/*.cir; do
    name=$(basename "$deck" .cir)
    demo=$(basename "$(dirname "$(dirname "$deck")")")
    xml=$top_srcdir/netlists/$demo/xml/$name.xml
    golden=$top_srcdir/tests/goldens/$demo/$name
    "$list" circuit "$deck" >"$work/deck" && "$list" circuit "$xml" >"$work/xml"
    if ! [ -s "$work/deck" ] || ! diff -u "$work/deck" "$work/xml"; then
        fail "$demo/$name: the deck and the XML are not the same circuit"
        continue
    fi
    "$list" findings "$deck" | sort >"$work/deck"
    [ -n "${PREARC_SANITIZED:-}" ] || "$list" findings "$xml" | sort >"$work/xml"
    # (under the sanitizers one of the two will do)
    [ -z "${PREARC_SANITIZED:-}" ] || cp "$work/deck" "$work/xml"
    if ! diff -u "$work/deck" "$work/xml"; then
        fail "$demo/$name: the deck and the XML do not give the same findings"
        continue
    fi
    if [ "${UPDATE:-}" = 1 ]; then
        mkdir -p "$(dirname "$golden")"
        cp "$work/deck" "$golden"
    fi
    if ! [ -f "$golden" ]; then
        fail "$demo/$name: no golden"
    elif ! diff -u "$golden" "$work/deck"; then
        fail "$demo/$name: findings differ from the golden"
    else
        passed=$((passed + 1))
    fi
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
