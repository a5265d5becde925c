#!/bin/sh
# Every limit that README.md states: what is one step beyond it is refused, and the message names the limit.
set -u

prearc=$(cd "$top_builddir" && pwd)/prearc
PREARC_DATA=${PREARC_DATA:-$(cd "$top_srcdir" && pwd)/rules}
export PREARC_DATA
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
cd "$work" || exit 1
passed=0 failed=0

repeat() { awk -v n="$1" -v s="$2" 'BEGIN { for (i = 0; i < n; i++) printf "%s", s }' </dev/null; }

# beyond FILE TEXT: facts of FILE is an error that says TEXT, at a place in the file
beyond() {
    "$prearc" facts "$1" >out 2>err
    status=$?
    tr -s ' \n' '  ' <err >said
    if [ "$status" = 2 ] && grep -Fq -e "$2" said && grep -q "$1:[0-9]" said; then
        passed=$((passed + 1))
    else
        echo "FAIL $1: exit $status, no '$2' with a place in: $(head -n 5 err)"
        failed=$((failed + 1))
    fi
}

# within FILE: it is read
within() {
    "$prearc" facts "$1" >out 2>err
    if [ $? = 0 ]; then
        passed=$((passed + 1))
    else
        echo "FAIL $1: not read: $(head -n 5 err)"
        failed=$((failed + 1))
    fi
}

# XML
export_of() { # what stands inside a value
    printf '<export version="E"><components><comp ref="R1"><value>1k</value>%s</comp></components><nets><net name="a"><node ref="R1" pin="1"/></net><net name="b"><node ref="R1" pin="2"/></net></nets></export>\n' "$(cat)"
}
{ repeat 253 '<a>'; repeat 253 '</a>'; } | export_of >deep-enough.xml
within deep-enough.xml
{ repeat 260 '<a>'; repeat 260 '</a>'; } | export_of >deep.xml
beyond deep.xml 'at most 256 elements within each other'
{ printf '<a'; awk 'BEGIN { for (i = 0; i < 1001; i++) printf " a%d=\"\"", i }' </dev/null; printf '/>'; } | export_of >attributes.xml
beyond attributes.xml 'at most 1000 attributes'
{ printf '<export version="E"><components><comp ref="'; repeat 100100 "$(repeat 100 x)"; echo '"/></components></export>'; } >attribute.xml
beyond attribute.xml 'at most 9 MiB in an attribute'
{ printf '<export version="E">'; repeat 80000 "$(repeat 100 '<a/>')"; echo '</export>'; } >elements.xml
beyond elements.xml 'at most 8 million elements'

# lists in parentheses
{ printf '(export (version E) '; repeat 256 '(a '; repeat 256 ')'; echo ')'; } >deep.net
beyond deep.net '256'
{ printf '(export (version E) (components (comp (ref R1) (value "'; repeat 66 "$(repeat 1000 x)"; echo '")))(nets (net (name a) (node (ref R1) (pin 1)))))'; } >text.net
beyond text.net 'at most 65536 bytes'
{ printf '(export (version E) (components (comp (ref R1) (value 1k)))(nets (net (name '; repeat 1001 x; echo ') (node (ref R1) (pin 1)))))'; } >name.net
beyond name.net 'at most 1000 bytes'

# decks
{ echo title; awk 'BEGIN { for (i = 0; i < 50001; i++) print "R" i " a b 1k" }' </dev/null; echo .end; } >parts.cir
beyond parts.cir 'at most 50000 parts'
{ echo title; printf 'R1 '; repeat 201 a; echo ' 0 1k'; echo .end; } >name.cir
beyond name.cir 'at most 200 characters'
{ echo title; awk 'BEGIN { for (i = 0; i < 33; i++) print ".subckt S" i " a b" }' </dev/null; echo 'R1 a b 1k'; repeat 33 '.ends
'; echo 'X1 a b S0'; echo .end; } >nested.cir
beyond nested.cir '32'
for i in $(seq 0 16); do { echo title; echo ".include include$((i + 1)).cir"; echo 'R1 a b 1k'; echo .end; } >include$i.cir; done
beyond include0.cir '16'
{ echo title; printf 'X1'; repeat 1001 ' a'; echo ' S'; echo 'R1 a b 1k'; echo .end; } >pins.cir
beyond pins.cir '1000'
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
