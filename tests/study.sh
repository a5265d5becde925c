#!/bin/sh
# The bench sheet: text and page of every demo; the page read in a browser, on a phone, a screen and paper; hostile names.
set -u

prearc=$top_builddir/prearc
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0
failed=0
pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAIL $*"; }

# --- as text: every chapter, nothing wider than the page
for netlist in "$top_srcdir"/netlists/*/*/sound.*; do
    # LEFT OUT under the sanitizers: the XML, which comes to the same circuit and is made a page of below
    [ -z "${PREARC_SANITIZED:-}" ] || [ "$netlist" != "${netlist%.xml}" ] || continue
    "$prearc" study "$netlist" >"$work/text" 2>"$work/err" || fail "$netlist: exit $?"
    for chapter in 'For the owner' 'The fuses' 'Which fuse protects what' 'Time and current' 'What was found' \
        'What every rail should read' 'Before mains goes on' 'What fails next' 'What could not be checked' \
        'What the figures rest on'; do
        grep -q "^$chapter" "$work/text" && pass || fail "$netlist: no chapter $chapter"
    done
    grep -q 'Mains and HT kill' "$work/text" && pass || fail "$netlist: no caution"
    LC_ALL=C.UTF-8 grep -E '^.{101}' "$work/text" && fail "$netlist: wider than 100 columns" || pass
done

# --- what changed: by the netlist, by what is in the holder, not at all
demo=$top_srcdir/netlists/heronsgate-40
says() { # says PATTERN: the last comparison does
    grep -Eq -- "$1" "$work/text" && pass || { fail "compare: does not say $1"; cat "$work/text"; }
}
compares() { # compares PATTERN ARGUMENT...
    pattern=$1
    shift
    "$prearc" study --compare "$@" >"$work/text" 2>"$work/err" || fail "compare $*: exit $?"
    says "$pattern"
}
compares 'new error: rail-partly-protected, HT_RES' "$demo/spice/sound.cir" "$demo/spice/ht-fuse-one-leg.cir"
compares 'gone error: fuse-oversized, F2' "$demo/xml/ht-link-oversized.xml" "$demo/xml/sound.xml"
compares 'F2 +fitted +- +F5AL250V' "$demo/xml/sound.xml" --fitted F2=F5AL250V "$demo/xml/sound.xml"
compares 'The same findings before and now' "$demo/xml/sound.xml" "$demo/spice/sound.cir"
says 'No fuse changed'
says 'No rail changed'
compares 'F2 +itself +there +gone' "$demo/spice/sound.cir" "$demo/spice/ht-fuse-missing.cir"
"$prearc" study --compare "$demo/spice/sound.cir" --html "$work/changed.html" "$demo/spice/ht-fuse-missing.cir" &&
    grep -q 'Fuses that changed' "$work/changed.html" && pass || fail "no page of what changed"

# --- the same name in every form: nothing in it may act
cat >"$work/hostile.cir" <<'DECK'
* <script>alert(1)</script> "quoted" 'single' & ‮reversed
V1 a</script><img/src=x> 0 SIN(0 30 50)
XF1 a</script><img/src=x> "onload=b FUSE rating=T1AL250V place="<b>drawer</b>"
.subckt FUSE 1 2
.ends
D1 "onload=b c 1N4007
C1 c 0 100u
R1 c 0 1k
.end
DECK
printf 'R2 c %s 1k\n' "$(awk 'BEGIN { for (i = 0; i < 10000; i++) printf "n" }' </dev/null)" >"$work/long"
sed -i "/^R1/r $work/long" "$work/hostile.cir"
"$prearc" study --html "$work/hostile.html" "$work/hostile.cir" >"$work/out" 2>&1
[ $? -le 2 ] && [ -s "$work/hostile.html" ] && pass || fail "no page of hostile names"
if grep -qi -e '<script' -e '<img' -e '<b>' -e ' onload=b"' "$work/hostile.html"; then fail "a hostile name acts"; else pass; fi
if LC_ALL=C grep -q "$(printf '\342\200\256')" "$work/hostile.html"; then fail "a direction mark got through"; else pass; fi

# --- the page of every demo, in a browser
if [ -n "${PREARC_SANITIZED:-}" ]; then
    for netlist in "$top_srcdir"/netlists/*/xml/sound.xml; do
        "$prearc" study --html "$work/page.html" "$netlist" >"$work/out" 2>&1
        [ $? -le 2 ] && pass || { fail "$netlist"; tail -n 3 "$work/out"; }
    done
else
    browser=$(command -v chromium || command -v chromium-browser)
    if [ -z "$browser" ]; then
        echo "*** SKIPPED: chromium is not installed; no page was looked at ***"
        [ -z "${CI:-}" ] || fail "chromium must be installed where CI runs"
    elif sh "$top_srcdir/tests/node/install.sh"; then
        set --
        for netlist in "$top_srcdir"/netlists/*/spice/sound.cir "$demo/spice/ht-link-oversized.cir" \
            "$demo/spice/ht-fuse-one-leg.cir" "$top_srcdir"/netlists/wendlebury-25/spice/rail-marking-missing.cir "$work/hostile.cir"; do
            folder=$work/$(basename "$(dirname "$(dirname "$netlist")")")-$(basename "$netlist" .cir)
            mkdir "$folder"
            "$prearc" study --html "$folder/page.html" "$netlist" >"$work/out" 2>&1 || [ "$netlist" = "$work/hostile.cir" ] ||
                fail "$netlist: no page"
            SOURCE_DATE_EPOCH=1767225600 "$top_builddir/tests/list" "$folder/of." "$netlist" >"$work/out" 2>&1 &&
                mv "$folder/of.facts.xml" "$folder/facts.xml" || fail "$netlist: no facts"
            set -- "$@" "$folder"
        done
        [ $# -ge 6 ] || fail "only $# pages"
        NODE_PATH=$(cd "$top_builddir/tests/npm/node_modules" && pwd) timeout 600 node "$top_srcdir/tests/node/page.mjs" \
            "$browser" "${PICTURES:--}" "$@" >"$work/verdict" 2>&1 && pass || fail "a page"
        cat "$work/verdict"
    else
        code=$?
        [ "$code" = 77 ] || fail "npm packages"
    fi
fi

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
