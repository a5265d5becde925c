#!/bin/sh
# The program from outside: exit codes, messages, where its words go. Prints one line a failure.
# $top_builddir/prearc is tried on $top_srcdir/tests/report/supply.cir.
prearc=$(cd "${top_builddir:-.}" && pwd)/prearc
source=$(cd "${top_srcdir:-.}" && pwd)
deck=$source/tests/report/supply.cir
PREARC_DATA=${PREARC_DATA:-$source/rules}
export PREARC_DATA
work=$(mktemp -d) || exit 99
trap 'rm -rf "$work"' EXIT
failed=0

complain() {
    echo "FAIL: $1"
    sed 's/^/    | /' "$work/out" "$work/err" | head -20
    failed=1
}

# expect NAME CODE PATTERN COMMAND...: the exit code, and an extended regular expression in what is
# said.
expect() {
    name=$1 code=$2 pattern=$3
    shift 3
    "$@" >"$work/out" 2>"$work/err" </dev/null
    got=$?
    [ "$got" -eq "$code" ] || complain "$name: exit $got, not $code"
    cat "$work/out" "$work/err" | grep -Eq -- "$pattern" ||
        complain "$name: nothing says '$pattern'"
}

# The same, and what went wrong is told in one line on standard error and nothing else is said.
refuses() {
    expect "$1" 2 "$2" "$prearc" $3
    [ ! -s "$work/out" ] || complain "$1: words on standard output"
    [ "$(wc -l <"$work/err")" -eq 1 ] || complain "$1: not one line"
}

# Asking about the program itself.
expect help 0 '^prearc COMMAND' "$prearc" --help
[ "$(wc -l <"$work/out")" -le 24 ] || complain "help: more than 24 lines"
awk 'length > 80 { exit 1 }' "$work/out" || complain "help: wider than 80 columns"
grep -q 'Mains and HT kill' "$work/out" || complain "help: no caution"
expect version 0 '^prearc [0-9]' "$prearc" --version
expect 'help of a command' 0 '^prearc COMMAND' "$prearc" check --help

# Words that cannot be understood.
refuses 'no command' 'check, facts, trace, deck or explain' ''
refuses 'mistyped command' 'no command chekc; the nearest is check$' 'chekc x'
refuses 'mistyped option' 'no option --formt; the nearest is --format$' 'check --formt=text x'
refuses 'short option' 'no option -x; the nearest is' 'check -x'
refuses 'option without value' '--format needs a value' 'check --format'
refuses 'flag with a value' '--include-anywhere takes no value' 'check --include-anywhere=yes x'
refuses 'wrong format' '--format cannot be pdf; expected text or sarif' 'check --format pdf x'
refuses 'wrong level' '--fail-on cannot be fatal' 'check --fail-on=fatal x'
refuses 'wrong volts' '--mains cannot be lots' 'check --mains lots x'
refuses 'too many volts' '--mains cannot be 11000' 'check --mains 11000 x'
refuses 'volts of another unit' '--mains cannot be 50Hz' 'check --mains 50Hz x'
refuses 'no file' 'check takes FILE' 'check'
refuses 'too many files' 'facts takes FILE' 'facts a b'
refuses 'option of another command' '--fail-on means nothing to facts' 'facts --fail-on note x'
refuses 'no marking' '--fitted cannot be F2;' 'check --fitted F2 x'
refuses 'no rating' '--fitted cannot be F2=banana' 'check --fitted F2=banana x'
refuses 'one fuse twice' '--fitted cannot be f2=T1A' 'check --fitted F2=T2A --fitted f2=T1A x'
refuses 'fitted with two netlists' 'one netlist at a time' "check --fitted F2=T2A $deck $deck"
refuses 'escape in an option' '--<U\+001B>\[2J' "check --$(printf '\033')[2J"

# A fuse that is not there.
refuses 'no such fuse' 'F7 is no fuse of this netlist; fuses: F1, F2$' "check --fitted F7=T2A $deck"
refuses 'a part that is no fuse' 'R1 is no fuse of this netlist' "check --fitted=R1=T2A $deck"

# Netlists.
expect 'missing file' 2 'cannot read .*absent.cir' "$prearc" check "$work/absent.cir"
expect 'folder' 2 'cannot read' "$prearc" check "$work"
: >"$work/empty.cir"
expect 'empty file' 2 'empty.cir' "$prearc" check "$work/empty.cir"
head -c 3000 /dev/zero >"$work/zero.cir"
expect 'NUL bytes' 2 'zero.cir' "$prearc" check "$work/zero.cir"
"$prearc" check "$deck" >"$work/out" 2>"$work/err"
[ $? -le 1 ] || complain 'check'
grep -q 'caution: Mains and HT kill' "$work/out" || complain 'check: no caution'
grep -q "netlist: $deck: .*2 fuses" "$work/out" || complain 'check: not 2 fuses'
cp "$work/out" "$work/first"
"$prearc" check - <"$deck" | sed "s#<stdin>#$deck#g" | cmp -s - "$work/first" ||
    complain 'standard input: another report'
"$prearc" check -- "$deck" | cmp -s - "$work/first" || complain '--: another report'
"$prearc" --format=text check "$deck" | cmp -s - "$work/first" || complain 'option first: another'
"$prearc" check "$deck" "$deck" >"$work/out"
[ "$(grep -c '    netlist: ' "$work/out")" -eq 2 ] || complain 'two netlists: not two reports'
cp "$deck" "$work/-odd.cir"
(cd "$work" && "$prearc" check -- -odd.cir >out 2>err)
grep -q 'netlist: -odd.cir: .*2 fuses' "$work/out" || complain 'a name with a dash'
expect 'facts' 0 '<facts' "$prearc" facts "$deck"
expect 'fuse' 0 'fuse: F2' "$prearc" trace "$deck" F2
expect 'net' 0 'net: b2' "$prearc" trace "$deck" b2
expect 'way' 0 '> D[12] > F2 > R1 > b2' "$prearc" trace "$deck" b2
expect 'part' 2 'R1 is a resistor, not a fuse: trace one of its nets: ht, b2' \
    "$prearc" trace "$deck" R1
expect 'nothing' 2 'no fuse or net F22; the nearest is F2' "$prearc" trace "$deck" F22

# The deck.
expect 'deck' 0 '^\.meas tran i_F2_rms RMS' "$prearc" deck "$deck"
expect 'deck with a fault' 0 '^\* prearc: i_short_rms' "$prearc" deck --fault short-rail1-ht "$deck"
expect 'deck from rest' 0 '^\* Starts from rest' "$prearc" deck --start rest "$deck"
refuses 'no such fault' 'there is no fault nonsense; there are short-rail1-' "deck --fault nonsense $deck"
refuses 'wrong start' '--start cannot be middle; expected solved or rest' "deck --start middle $deck"
refuses 'fault of another command' '--fault means nothing to facts' "facts --fault x $deck"
"$prearc" deck --output "$work/written" "$deck" >"$work/out"
[ ! -s "$work/out" ] || complain 'deck --output: words on standard output'
"$prearc" deck "$deck" | cmp -s - "$work/written" || complain 'deck: two runs differ'

# Exit codes follow --fail-on.
"$prearc" check --fail-on note "$deck" >"$work/out" 2>"$work/err"
low=$?
"$prearc" check "$deck" >"$work/out" 2>"$work/err"
high=$?
[ "$low" -ge "$high" ] || complain "--fail-on note exits $low, --fail-on error $high"
grep -Eq '^ +in all: 0 errors' "$work/out" && [ "$high" -ne 0 ] && complain 'no error, yet exit 1'
grep -Eq '^ +in all: [1-9][0-9]* error' "$work/out" && [ "$high" -ne 1 ] &&
    complain 'errors, yet not exit 1'

# Explaining.
expect 'list of checks' 0 '^ *check +level +is' "$prearc" explain
id=$(awk 'NR == 2 { print $1 }' "$work/out")
expect 'one check' 0 "check: $id" "$prearc" explain "$id"
for label in is level why do source; do
    grep -Eq "^ +$label: " "$work/out" || complain "explain $id: no $label"
done
refuses 'no such check' 'no check no-such-check; the nearest is' 'explain no-such-check'

# The data.
expect 'no data' 2 'library|checks|cannot' env PREARC_DATA="$work/nowhere" "$prearc" check "$deck"

# Output: whole or not at all.
"$prearc" check --output "$work/report" "$deck" >"$work/out" 2>"$work/err"
[ -s "$work/out" ] && complain '--output: words on standard output'
"$prearc" check "$deck" | cmp -s - "$work/report" || complain '--output: another report'
[ "$(ls "$work" | grep -c '^report')" -eq 1 ] || complain '--output: litter'
chmod 640 "$work/report"
ln -s report "$work/link"
"$prearc" check --output="$work/link" "$deck"
[ -L "$work/link" ] || complain '--output: a link was replaced'
[ "$(ls -l "$work/report" | cut -c1-10)" = '-rw-r-----' ] || complain '--output: mode lost'
cp "$work/report" "$work/kept"
expect 'no such folder' 2 'cannot write' "$prearc" check --output "$work/none/report" "$deck"
(ulimit -f 0 && trap '' XFSZ && "$prearc" check --output "$work/report" "$deck") \
    >"$work/out" 2>&1
[ $? -eq 2 ] || complain 'file too large: not exit 2'
cmp -s "$work/report" "$work/kept" || complain 'file too large: the old file was touched'
[ "$(ls "$work" | grep -c '^report')" -eq 1 ] || complain 'file too large: litter'
cp "$deck" "$work/own.cir"
expect 'output is the input' 2 'is the netlist itself' \
    "$prearc" check --output "$work/own.cir" "$work/own.cir"
cmp -s "$deck" "$work/own.cir" || complain 'the netlist was overwritten'
if [ -c /dev/full ]; then
    "$prearc" check "$deck" >/dev/full 2>"$work/err"
    [ $? -eq 2 ] || complain 'full disk: not exit 2'
    grep -q 'cannot write standard output' "$work/err" || complain 'full disk: no message'
    expect 'full device' 2 'cannot write /dev/full' "$prearc" check --output /dev/full "$deck"
else
    echo 'SKIPPED: no /dev/full: full disk not tried'
fi
"$prearc" check "$deck" >&- 2>"$work/err"
[ $? -eq 2 ] || complain 'closed output: not exit 2'
mkfifo "$work/pipe"
(exec 3<"$work/pipe" && exec 3<&-) &
{ sleep 1; "$prearc" check "$deck" 2>"$work/err"; echo $? >"$work/code"; } >"$work/pipe"
wait
[ "$(cat "$work/code")" -eq 2 ] || complain "closed pipe: exit $(cat "$work/code"), not 2"
grep -q 'cannot write' "$work/err" || complain 'closed pipe: no message'

# Colour: only to a terminal.
"$prearc" check "$deck" | grep -q "$(printf '\033')" && complain 'escapes in a pipe'

[ "$failed" -eq 0 ] && echo "PASS: command line"
exit "$failed"
