#!/bin/sh
# Conventions that a script can check: stages include only what lies below them, headers stand alone, one file includes
# the LU library, one owns XPath in each of its two uses, file names are unique.
set -u
if [ -n "${PREARC_SANITIZED:-}" ]; then
    echo "LEFT OUT under the sanitizers: it looks at the sources alone, as in the plain build"
    exit 0
fi

cd "$top_srcdir" || exit 1
failed=0

fail() {
    echo "FAIL $1"
    failed=1
}

# folder: what it may include (DEVELOPERS.md lists the stages in the same order)
allowed() {
    case $1 in
    base) echo base ;;
    circuit) echo circuit base ;;
    netlist) echo netlist circuit base ;;
    parts) echo parts circuit base ;;
    fuselink) echo fuselink base ;;
    bench) echo bench fuselink parts circuit base ;;
    device) echo device parts circuit base ;;
    solve) echo solve device parts circuit base ;;
    trace) echo trace device parts circuit base ;;
    whatif) echo whatif bench solve trace fuselink device parts circuit base ;;
    deck) echo deck solve device parts circuit base ;;
    rule) echo rule bench whatif solve trace fuselink device parts circuit base ;;
    report) echo report base ;;
    study) echo study report base ;;
    esac
}

for folder in src/*/; do
    stage=$(basename "$folder")
    [ -n "$(allowed "$stage")" ] || fail "src/$stage: no such stage"
    for included in $(grep -ho '^#include "[^"/]*/' "$folder"*.[ch] | sed 's/.*"//; s|/||' | sort -u); do
        case " $(allowed "$stage") " in
        *" $included "*) ;;
        *) fail "src/$stage includes $included/: $(grep -l "#include \"$included/" "$folder"*.[ch] | tr '\n' ' ')" ;;
        esac
    done
done

for header in $(find src -name '*.h'); do
    ${CC:-cc} -std=c11 -D_GNU_SOURCE -Isrc $(pkg-config --cflags libxml-2.0 jansson) -fsyntax-only -x c \
        -include "$header" /dev/null || fail "$header does not stand alone"
done

[ "$(grep -l 'klu.h' src/*/*.[ch] | wc -l)" = 1 ] || fail "klu.h is included by: $(grep -l 'klu.h' src/*/*.[ch] | tr '\n' ' ')"
for stage in netlist rule; do
    [ "$(grep -l 'libxml/xpath' src/$stage/*.[ch] | wc -l)" -le 1 ] ||
        fail "XPath is owned by: $(grep -l 'libxml/xpath' src/$stage/*.[ch] | tr '\n' ' ')"
done
twice=$(find src -name '*.[ch]' | sed 's|.*/||' | sort | uniq -d)
[ -z "$twice" ] || fail "file names used twice: $twice"
[ "$failed" = 0 ] && echo "conventions hold"
exit "$failed"
