#!/bin/sh
# One small supply in every format, each in every encoding and with both line ends: the same circuit, and nothing is called odd
# that is not. Values have letters outside ASCII.
set -u

list=$top_builddir/tests/list
write=$top_builddir/tests/formats/write
rules=$top_srcdir/rules # for the writers
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
passed=0 failed=0

fail() {
    echo "FAIL $1"
    failed=$((failed + 1))
}

cat >"$work/export-new" <<'X'
(export (version E) (design (source "Prüfling"))
 (components
 (comp (ref F1) (value "T1A träge") (libsource (lib Mains) (part Fuse)))
 (comp (ref C1) (value "47µF/450V") (libsource (lib Passive) (part C_Polarized)))
 (comp (ref R1) (value "½W·10k") (libsource (lib Passive) (part R))))
 (nets
 (net (code 1) (name "/NÄCHST") (node (ref F1) (pin 1)) (node (ref C1) (pin 1)) (node (ref R1) (pin 1)))
 (net (code 2) (name GND) (node (ref C1) (pin 2)) (node (ref R1) (pin 2)) (node (ref F1) (pin 2)))))
X
for format in export-old edif-netlist edif-schematic brackets packages stamped; do
    "$write" "$format" "$work/export-new" "$rules" >"$work/$format" 2>"$work/err" || fail "$format is not written: $(cat "$work/err")"
done
cat >"$work/spice" <<'X'
Prüfling
XF1 nächst 0 FUSE value="T1A träge"
.subckt FUSE P1 P2
.ends
C1 nächst 0 47µ voltage=450V
R1 nächst 0 10k note="½W·10k"
.end
X
cat >"$work/xml" <<'X'
<?xml version="1.0" encoding="UTF-8"?>
<export version="E">
<components>
<comp ref="F1"><value>T1A träge</value><libsource lib="Mains" part="Fuse"/></comp>
<comp ref="C1"><value>47µF/450V</value><libsource lib="Passive" part="C_Polarized"/></comp>
<comp ref="R1"><value>½W·10k</value><libsource lib="Passive" part="R"/></comp>
</components>
<nets>
<net code="1" name="/NÄCHST"><node ref="F1" pin="1"/><node ref="C1" pin="1"/><node ref="R1" pin="1"/></net>
<net code="2" name="GND"><node ref="C1" pin="2"/><node ref="R1" pin="2"/><node ref="F1" pin="2"/></net>
</nets>
</export>
X
cat >"$work/netlist" <<'X'
<?xml version="1.0" encoding="UTF-8"?>
<netlist date="lör sep 5">
<net><connector id="c0" name="Pin 1"><part id="1" label="F1" title="T1A träge fuse"/></connector>
<connector id="c0" name="Pin 1"><part id="2" label="C1" title="47µF/450V"/></connector></net>
<net><connector id="c1" name="Pin 2"><part id="1" label="F1" title="T1A träge fuse"/></connector>
<connector id="c1" name="Pin 2"><part id="2" label="C1" title="47µF/450V"/></connector></net>
</netlist>
X

mark() { # the byte order mark of $1
    case $1 in
    UTF-8) printf '\357\273\277' ;;
    UTF-16LE) printf '\377\376' ;;
    UTF-16BE) printf '\376\377' ;;
    esac
}

# variant FORMAT ENCODING MARKED ENDS
variant() {
    declared=$2
    case $2 in UTF-16*) declared=UTF-16 ;; esac
    { [ "$3" = marked ] && mark "$2"
      sed "s/encoding=\"UTF-8\"/encoding=\"$declared\"/" "$work/$1" |
          if [ "$4" = crlf ]; then sed "s/\$/$(printf '\r')/"; else cat; fi | iconv -f UTF-8 -t "$2"; } >"$work/file"
}

for format in xml netlist export-new export-old edif-netlist edif-schematic brackets packages stamped spice; do
    "$list" circuit "$work/$format" >"$work/want" 2>&1
    : >"$work/want.input"
    [ -n "${PREARC_SANITIZED:-}" ] || "$list" findings "$work/$format" | grep '	input	' | sort >"$work/want.input"
    if [ "$(grep -c '^part' "$work/want")" -lt 2 ] || ! grep -q 'part F1 fuse' "$work/want"; then
        fail "$format is not read: $(cat "$work/want")"
        continue
    fi
    grep -q '^error' "$work/want.input" && fail "$format: $(cat "$work/want.input")"
    for variant in 'UTF-8 plain crlf' 'UTF-8 marked lf' 'UTF-16LE plain lf' 'UTF-16LE marked crlf' 'UTF-16BE plain lf' \
        'UTF-16BE marked lf' 'ISO-8859-1 plain lf' 'ISO-8859-1 plain crlf'; do
        # shellcheck disable=SC2086
        variant "$format" $variant
        "$list" circuit "$work/file" >"$work/got" 2>&1
        if ! diff "$work/want" "$work/got" >"$work/diff"; then
            fail "$format as $variant: another circuit: $(head -n 6 "$work/diff")"
            continue
        fi
        : >"$work/got.input"
        [ -n "${PREARC_SANITIZED:-}" ] || "$list" findings "$work/file" | grep '	input	' | sort >"$work/got.input"
        if diff "$work/want.input" "$work/got.input" >"$work/diff"; then
            passed=$((passed + 1))
        else
            fail "$format as $variant: read otherwise: $(head -n 6 "$work/diff")"
        fi
    done
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
