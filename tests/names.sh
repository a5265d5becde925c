#!/bin/sh
# Names in a netlist are data: in no form of output do they act, break a line or hide what follows. And an output file is whole
# or left as it was, whatever happens to the disk.
set -u

prearc=$top_builddir/prearc
work=$(mktemp -d)
[ -n "${KEEP:-}" ] || trap 'chmod -R u+w "$work"; rm -rf "$work"' EXIT
passed=0
failed=0
pass() { passed=$((passed + 1)); }
fail() { failed=$((failed + 1)); echo "FAIL $*"; }

rtl=$(printf '\342\200\256')
escape=$(printf '\033')
long=$(awk 'BEGIN { for (i = 0; i < 10000; i++) printf "n" }' </dev/null)
cat >"$work/names.xml" <<XML
<?xml version="1.0" encoding="UTF-8"?>
<export version="E">
 <design><title>&lt;script&gt;alert(1)&lt;/script&gt; ](http://x) %s%n {0} \`id\`</title></design>
 <components>
  <comp ref="J1"><value>C14</value></comp>
  <comp ref="F1&quot;&gt;&lt;img src=x onerror=alert(1)&gt;"><value>T1AL250V</value>
   <fields><field name="place">&lt;b&gt;drawer&lt;/b&gt; ${rtl}reversed</field></fields></comp>
  <comp ref="T1"><value>Transformer &#9; 'single' "double"</value>
   <fields><field name="windings">primary 1-2 230V 10R; HT 3-4 250V 50R 100mA</field></fields></comp>
  <comp ref="D1"><value>1N4007</value></comp>
  <comp ref="C1"><value>47u %n%s</value></comp>
  <comp ref="R1"><value>10k</value></comp>
  <comp ref="X&#x2067;1"><value>\${HOME} \$(id) {{7*7}}</value></comp>
 </components>
 <nets>
  <net code="1" name="L"><node ref="J1" pin="1" pinfunction="L"/><node ref="F1&quot;&gt;&lt;img src=x onerror=alert(1)&gt;" pin="1"/></net>
  <net code="2" name="&lt;/td&gt;&lt;script&gt;alert(2)&lt;/script&gt;"><node ref="F1&quot;&gt;&lt;img src=x onerror=alert(1)&gt;" pin="2"/><node ref="T1" pin="1"/></net>
  <net code="3" name="N"><node ref="J1" pin="2" pinfunction="N"/><node ref="T1" pin="2"/></net>
  <net code="4" name="ac ${rtl}ca"><node ref="T1" pin="3"/><node ref="D1" pin="2" pinfunction="A"/></net>
  <net code="5" name="$long"><node ref="D1" pin="1" pinfunction="K"/><node ref="C1" pin="1"/><node ref="R1" pin="1"/><node ref="X&#x2067;1" pin="1"/></net>
  <net code="6" name="GND"><node ref="J1" pin="3" pinfunction="E"/><node ref="T1" pin="4"/><node ref="C1" pin="2"/><node ref="R1" pin="2"/><node ref="X&#x2067;1" pin="2"/></net>
 </nets>
</export>
XML
printf '* %s[31m title\nV1 a%s[2J 0 SIN(0 300 50)\nXF1 a%s[2J b FUSE rating=T1AL250V place="%s]0;x\007"\n.subckt FUSE 1 2\n.ends\nD1 b c 1N4007\nC1 c 0 47u\nR1 c 0 10k\n.end\n' \
    "$escape" "$escape" "$escape" "$escape" >"$work/names.cir"

# plain FORM FILE: nothing that moves a cursor, turns text round or ends a line early
plain() {
    LC_ALL=C grep -q "[$(printf '\001-\010\013-\037\177')]" "$2" && fail "$1: a control byte" || pass
    LC_ALL=C grep -qE "$(printf '\342\200[\252-\256]|\342\201[\246-\251]')" "$2" && fail "$1: a direction mark" || pass
}
# tame FORM FILE: no markup out of a name
tame() { grep -qiE '<(script|img|b|/td><script)[ >]' "$2" && fail "$1: a name acts: $(grep -iE -m1 -o '.{20}<(script|img|b)[ >].{20}' "$2")" || pass; }

for netlist in "$work/names.xml" "$work/names.cir"; do
    kind=${netlist##*.}
    for command in "check" "study" "trace"; do
        set -- "$command" "$netlist"
        [ "$command" = trace ] && set -- trace "$netlist" c && [ "$kind" = xml ] && set -- trace "$netlist" GND
        "$prearc" "$@" >"$work/out" 2>"$work/err"
        [ $? -le 2 ] && [ -s "$work/out$([ "$command" = trace ] && echo)" ] && pass || fail "$kind: $command: $(head -n 2 "$work/err")"
        plain "$kind, $command" "$work/out"
        plain "$kind, $command, messages" "$work/err"
        # a long name may be cut or folded, never spoil the page
        LC_ALL=C.UTF-8 grep -qE '^.{101}' "$work/out" && [ "$command" != trace ] && fail "$kind: $command: wider than the page" || pass
    done
    for form in sarif json; do
        "$prearc" check --format $form "$netlist" >"$work/$form" 2>"$work/err"
        plain "$kind, $form" "$work/$form"
        if command -v node >/dev/null; then
            node -e 'JSON.parse(new TextDecoder("utf-8", {fatal: true}).decode(require("fs").readFileSync(process.argv[1])))' "$work/$form" &&
                pass || fail "$kind: $form is not JSON"
        fi
    done
    "$prearc" facts "$netlist" >"$work/facts" 2>"$work/err"
    xmllint --noout --nonet "$work/facts" 2>>"$work/err" && pass || fail "$kind: facts: $(tail -n 3 "$work/err")"
    "$prearc" study --html "$work/html" "$netlist" >"$work/out" 2>&1
    [ -s "$work/html" ] && pass || fail "$kind: no page"
    tame "$kind, page" "$work/html"
    plain "$kind, page" "$work/html"
done

# --- a disk that fills up while the report is written (a limit on a file's size stands for it), a folder that is not there, one that
# must not be written: a message, exit 2, and the old report as it was, with nothing beside it
demo=$top_srcdir/netlists/heronsgate-40/spice/sound.cir
mkdir "$work/reports"
printf 'the old report\n' >"$work/reports/old"
kept() { # kept NAME STATUS
    [ "$2" = 2 ] && pass || fail "$1: exit $2, not 2"
    grep -q 'cannot write' "$work/err" && pass || fail "$1: no message: $(cat "$work/err")"
    [ "$(cat "$work/reports/old")" = 'the old report' ] && pass || fail "$1: the old report is gone"
    [ "$(ls -A "$work/reports")" = old ] && pass || fail "$1: something was left behind: $(ls -A "$work/reports")"
}
for option in "check --output" "facts --output" "study --html" "check --format json --output" "deck --output"; do
    # shellcheck disable=SC2086
    (trap '' XFSZ; ulimit -f 1; exec "$prearc" $option "$work/reports/old" "$demo") >"$work/out" 2>"$work/err"
    kept "full disk, $option" $?
done
"$prearc" check --output "$work/no/such/folder" "$demo" >"$work/out" 2>"$work/err"
kept "no such folder" $?
if [ "$(id -u)" != 0 ]; then
    chmod a-w "$work/reports"
    "$prearc" check --output "$work/reports/old" "$demo" >"$work/out" 2>"$work/err"
    kept "folder not to be written" $?
fi

echo "$passed passed, $failed failed"
[ "$failed" = 0 ]
