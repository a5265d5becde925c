#!/bin/sh
# Hostile and broken input: a clear error or a sound answer, exit 0 to 2, no signal, no hang.
set -u

prearc=$top_builddir/prearc
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
passed=0 failed=0

fail() {
    echo "FAIL $1"
    failed=$((failed + 1))
}

# try NAME FILE: runs check and facts on FILE; WANT, if given, must stand in what it says
try() {
    for command in check facts; do
        timeout 60 "$prearc" "$command" "$2" >"$work/out" 2>"$work/err"
        status=$?
        if [ "$status" -gt 2 ]; then
            fail "$1: prearc $command ended with $status: $(tail -n 3 "$work/err")"
            return
        fi
        if [ "$status" = 2 ] && ! [ -s "$work/err" ] && ! [ -s "$work/out" ]; then
            fail "$1: prearc $command says nothing"
            return
        fi
        if [ -n "${3:-}" ] && [ "$command" = check ] && ! grep -q -e "$3" "$work/out" "$work/err"; then
            fail "$1: no '$3' in: $(head -n 5 "$work/out" "$work/err")"
            return
        fi
        if [ -n "${3:-}" ] && [ "$status" != 2 ]; then
            fail "$1: exit $status where the input is bad"
            return
        fi
    done
    passed=$((passed + 1))
}

repeat() { awk -v n="$1" -v s="$2" 'BEGIN { for (i = 0; i < n; i++) printf "%s", s }' </dev/null; }

: >"$work/empty"
try empty "$work/empty" .
printf '\000\000\000\000' >"$work/nul"
try "NUL bytes" "$work/nul" .
head -c 4096 /dev/urandom >"$work/random"
try "random bytes" "$work/random"
try "a folder" "$work" .
try "no such file" "$work/none" .

{ echo '<?xml version="1.0"?><!DOCTYPE export [<!ENTITY a "aaaaaaaaaa">'
  for n in b c d e f g h i j; do
      p=$(echo "$n" | tr bcdefghij abcdefghi)
      echo "<!ENTITY $n \"&$p;&$p;&$p;&$p;&$p;&$p;&$p;&$p;&$p;&$p;\">"
  done
  echo ']><export version="E"><components><comp ref="R1"><value>&j;</value></comp></components><nets/></export>'
} >"$work/bomb.xml"
try "entity bomb" "$work/bomb.xml"
echo secret-of-this-machine >"$work/secret"
cat >"$work/external.xml" <<X
<?xml version="1.0"?><!DOCTYPE export [<!ENTITY x SYSTEM "file://$work/secret">]>
<export version="E"><components><comp ref="R1"><value>&x;</value></comp></components>
<nets><net code="1" name="A"><node ref="R1" pin="1"/></net></nets></export>
X
try "external entity" "$work/external.xml"
"$prearc" facts "$work/external.xml" 2>&1 | grep -q secret-of && fail "external entity was read"
{ repeat 100000 '<a>'; repeat 100000 '</a>'; } >"$work/deep.xml"
try "100,000-deep XML" "$work/deep.xml" .
{ printf '<export version="E"><components>'; repeat 100000 '<comp ref="R1"><value>'; } >"$work/deep2.xml"
try "100,000-deep components" "$work/deep2.xml" .

{ printf '(export (nets (net (name A) '; repeat 100000 '(node '; } >"$work/deep.net"
try "100,000-deep lists" "$work/deep.net" .
{ printf '(edif x (library L (cell C (view v '; repeat 100000 '(contents '; } >"$work/deep.edf"
try "100,000-deep EDIF" "$work/deep.edf" .
printf '(edif x (library L (cell A (view v (viewType NETLIST) (interface) (contents (instance I (viewRef v (cellRef A))))))))' >"$work/self.edf"
try "an EDIF cell in itself" "$work/self.edf" .
{ printf '(export (nets (net (name "'; repeat 1000000 9; printf '") (node (ref R1) (pin 1)))))'; } >"$work/name.net"
try "a million-letter name" "$work/name.net" .
{ echo '['; repeat 100000 '(
'; } >"$work/open.net"
try "100,000 blocks that are not closed" "$work/open.net" .

printf 'title\n.include self.cir\nR1 a 0 1k\n' >"$work/self.cir"
try "self-including deck" "$work/self.cir"
printf 'title\n.subckt A x\nX1 x A\n.ends\nX1 n A\n.end\n' >"$work/recursive.cir"
try "recursive subcircuit" "$work/recursive.cir"
printf 'title\n.subckt A x\nX1 x B\n.ends\n.subckt B x\nX1 x A\n.ends\nX1 n A\n.end\n' >"$work/mutual.cir"
try "mutually recursive subcircuits" "$work/mutual.cir"
{ printf 'title\n.subckt S0 a b\nR1 a b 1k\n.ends\n'
  for n in 1 2 3 4 5 6 7 8 9; do
      p=$((n - 1))
      echo ".subckt S$n a b"
      for k in 0 1 2 3 4 5 6 7 8 9; do echo "X$k a b S$p"; done
      echo .ends
  done
  echo 'X1 n 0 S9'; echo .end
} >"$work/billion.cir"
try "a thousand million parts by nesting" "$work/billion.cir"
{ printf 'title\nR1 a 0 '; repeat 1000000 9; printf '\nV1 a 0 1\n.end\n'; } >"$work/digits.cir"
try "a million-digit number" "$work/digits.cir"
{ printf 'title\nR1 a 0 {'; repeat 100000 '('; repeat 100000 ')'; printf '}\n.end\n'; } >"$work/parens.cir"
try "100,000-deep expression" "$work/parens.cir"
{ printf 'title\n'; repeat 100000 '.subckt a x
'; } >"$work/subckts.cir"
try "100,000 nested definitions" "$work/subckts.cir"
{ printf 'title\nR1 a 0 1k\n'; repeat 100000 '+ x
'; } >"$work/continued.cir"
try "100,000 continuations" "$work/continued.cir"
{ printf 'title\nX1'; repeat 200000 ' n'; printf ' PART\n.end\n'; } >"$work/pins.cir"
try "a part of 200,000 pins" "$work/pins.cir"
printf 'title\nR1 a 0 0\nL1 a 0 0\nC1 a 0 0\nV1 a 0 0\nD1 a a X\nR2 b b 1k\n.end\n' >"$work/zero.cir"
try "zero values and shorted parts" "$work/zero.cir"
printf 'title\nV1 a 0 SIN(0 1e308 50)\nR1 a 0 1e-300\nC1 a 0 1e300\n.end\n' >"$work/huge.cir"
try "values at the edge of doubles" "$work/huge.cir"
printf 'title\nV1 a 0 SIN(0 325 50)\nV2 b 0 SIN(0 325 49.99)\nD1 a c X\nD2 b c X\nR1 c 0 1k\nC1 c 0 47u\n.end\n' >"$work/beat.cir"
try "two mains frequencies" "$work/beat.cir"
awk -v parts=3000 -f "$top_srcdir/tests/bench/generate.awk" </dev/null >"$work/large.xml"
head -c 700000 "$work/large.xml" >"$work/cut.xml"
try "a large file cut in the middle" "$work/cut.xml" .

printf 'title\nV1 in 0 9\nR1 in 0 1k\n.end\n' >"$work/small.cir"
"$prearc" check - <"$work/small.cir" >"$work/out" 2>&1 || [ $? = 1 ] || fail "standard input"
"$prearc" check "$work/small.cir" 2>"$work/err" >/dev/full
[ $? = 2 ] && [ -s "$work/err" ] || fail "a full disk is not noticed"
("$prearc" check "$work/small.cir" 2>"$work/err"; echo $? >"$work/status") | head -c 0
[ "$(cat "$work/status")" -le 2 ] || fail "a closed pipe: $(cat "$work/status")"

echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
