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
fits_a_screen() {
    [ "$(wc -l <"$work/out")" -le 24 ] || complain "$1: more than 24 lines"
    awk 'length > 80 { exit 1 }' "$work/out" || complain "$1: wider than 80 columns"
    grep -q 'Mains and HT kill' "$work/out" || complain "$1: no caution"
}
expect help 0 '^prearc COMMAND' "$prearc" --help
fits_a_screen help
for command in $(sed -n 's/^  \([a-z]*\) .*/\1/p' "$work/out"); do
    expect "help of $command" 0 "^prearc $command " "$prearc" "$command" --help
    fits_a_screen "help of $command"
done
expect version 0 '^prearc [0-9]' "$prearc" --version

# Words that cannot be understood.
refuses 'no command' 'say what to do: check, study' ''
refuses 'mistyped command' 'no command chekc; the nearest is check$' 'chekc x'
refuses 'mistyped option' 'no option --formt; the nearest is --format$' 'check --formt=text x'
refuses 'short option' 'no option -x; the nearest is' 'check -x'
refuses 'option without value' '--format needs a value' 'check --format'
refuses 'flag with a value' '--include-anywhere takes no value' 'check --include-anywhere=yes x'
refuses 'wrong format' '--format cannot be pdf; expected text, sarif or json' 'check --format pdf x'
refuses 'wrong level' '--fail-on cannot be fatal' 'check --fail-on=fatal x'
refuses 'wrong volts' '--mains cannot be lots' 'check --mains lots x'
refuses 'too many volts' '--mains cannot be 11000' 'check --mains 11000 x'
refuses 'volts of another unit' '--mains cannot be 50Hz' 'check --mains 50Hz x'
refuses 'too wide a tolerance' '--tolerance cannot be 60' 'check --tolerance 60 x'
refuses 'no file' 'check takes FILE' 'check'
refuses 'two circuits' 'are not one circuit: no SPICE deck among these' "facts $deck $deck"
refuses 'no net' 'trace takes FILE... REF-or-NET' 'trace a'
refuses 'option of another command' '--fail-on means nothing to facts' 'facts --fail-on note x'
refuses 'no marking' '--fitted cannot be F2;' 'check --fitted F2 x'
refuses 'no rating' '--fitted cannot be F2=banana' 'check --fitted F2=banana x'
refuses 'one fuse twice' '--fitted cannot be f2=T1A' 'check --fitted F2=T2A --fitted f2=T1A x'
refuses 'fitted with two netlists' 'one netlist at a time' "check --fitted F2=T2A $deck $deck"
refuses 'escape in an option' '--<U\+001B>\[2J' "check --$(printf '\033')[2J"

# A fuse that is not there.
refuses 'no such fuse' 'F7 is no fuse of this netlist; fuses: F1, F2$' "check --fitted F7=T2A $deck"
refuses 'a part that is no fuse' 'R1 is no fuse of this netlist' "check --fitted=R1=T2A $deck"

# Bench files.
bench=$work/amp.bench
expect 'no bench file' 2 'cannot read .*absent.bench' "$prearc" check --bench "$work/absent.bench" "$deck"
refuses 'bench file with two netlists' '--bench goes with one netlist' "check --bench $bench $deck $deck"
refuses 'bench file of explain' '--bench means nothing to explain' "explain --bench $bench"
printf '# nothing yet\r\n' >"$bench"
"$prearc" check "$deck" >"$work/plain" 2>&1
"$prearc" check --bench "$bench" "$deck" >"$work/out" 2>&1
cmp -s "$work/plain" "$work/out" || complain 'an empty bench file changes the report'
printf 'fitted part=F2 marking=T315mAL250V\nfited part=F1 marking=T1A\n' >"$bench"
expect 'mistyped statement' 2 'amp.bench:2:1: there is no statement fited; the nearest is fitted' \
    "$prearc" check --bench "$bench" "$deck"
grep -A 1 'fited part=F1 marking=T1A$' "$work/out" | grep -q '\^' || complain 'mistyped statement: no caret'
grep -q 'expected: fitted, holder' "$work/out" || complain 'mistyped statement: nothing expected'
expect 'mistyped statement, facts' 2 'amp.bench:2:1' "$prearc" facts --bench "$bench" "$deck"
printf 'fitted part=F22 marking=T1A\n' >"$bench"
expect 'mistyped part' 2 'amp.bench:1:13: there is no part F22 in the netlist; the nearest' \
    "$prearc" trace --bench "$bench" "$deck" F2
printf 'fitted part=F2 marking=T5AL250V\n' >"$bench"
expect 'link too large' 1 'error: fuse-fitted-differs, F2' "$prearc" check --bench "$bench" "$deck"
expect 'the same inline' 1 'error: fuse-fitted-differs, F2' "$prearc" check --fitted f2=T5AL250V "$deck"
expect 'one fuse twice' 2 'says that T5AL250V is fitted' "$prearc" check --bench "$bench" --fitted F2=T1A "$deck"
printf 'fitted part=f2 marking=T1A\n' >"$work/more.bench"
expect 'two bench files' 2 'more.bench:1:1: line 1 of .*amp.bench says' \
    "$prearc" check --bench "$bench" --bench "$work/more.bench" "$deck"
printf 'measured net=ht volts=1\n' >"$work/more.bench"
expect 'two that agree' 1 'warning: net-measured-differs, net ht' \
    "$prearc" check --bench "$bench" --bench "$work/more.bench" "$deck"
expect 'one of standard input' 1 'error: fuse-fitted-differs' sh -c "'$prearc' check --bench - '$deck' <'$bench'"
refuses 'both from standard input' 'only one of them' 'check --bench - -'
printf 'holder part=F9 at=XT1 pin=1 marking=T2A\n' >"$bench"
expect 'a holder that is not drawn' 2 'there is no part XT1' "$prearc" trace --bench "$bench" "$deck" F9
printf 'holder part=F9 between=ct,0 marking=T2A place="HT return"\n' >"$bench"
expect 'a holder between nets' 0 'none drawn, T2A told as fitted' "$prearc" trace --bench "$bench" "$deck" F9
cp "$bench" "$work/kept"
expect 'output is the bench file' 2 'is the bench file itself' "$prearc" check --output "$bench" --bench "$bench" "$deck"
cmp -s "$bench" "$work/kept" || complain 'the bench file was overwritten'

# Accepted findings.
accepts() {
    printf 'fitted part=F2 marking=T5AL250V\naccept rule=fuse-oversized fuse=F2 reason="%s" until=2026-06-30\n' "$1"
    printf 'accept rule=fuse-fitted-differs fuse=f2 reason=spare\n'
}
accepts 'until the post comes' >"$bench"
expect 'accepted' 0 'accepted: until the post comes \(until 2026-06-30; .*amp.bench:2:1\)' \
    env SOURCE_DATE_EPOCH=1782777600 "$prearc" check --bench "$bench" "$deck"
grep -q 'error: fuse-oversized, F2' "$work/out" || complain 'accepted: the finding is gone'
grep -Eq 'in all: 0 errors, .* [1-9] accepted' "$work/out" || complain 'accepted: not counted as such'
expect 'expired' 1 'warning: acceptance-expired, F2' \
    env SOURCE_DATE_EPOCH=1782864000 "$prearc" check --bench "$bench" "$deck"
expect 'no date' 2 'SOURCE_DATE_EPOCH is no number' env SOURCE_DATE_EPOCH=soon "$prearc" check --bench "$bench" "$deck"
expect 'suppressed' 0 '"kind": "external"' \
    env SOURCE_DATE_EPOCH=1782777600 "$prearc" check --format sarif --bench "$bench" "$deck"
grep -q '"justification": "until the post comes (until 2026-06-30)"' "$work/out" || complain 'suppressed: no reason'
printf 'accept rule=fuse-oversize fuse=F2 reason=x\n' >"$bench"
expect 'unknown check' 2 'amp.bench:1:13: there is no check fuse-oversize; the nearest' \
    "$prearc" check --bench "$bench" "$deck"
printf 'accept rule=acceptance-expired fuse=F2 reason=x\n' >"$bench"
expect 'acceptance of acceptance' 2 'accepts wrongly cannot be' "$prearc" check --bench "$bench" "$deck"
printf 'accept rule=fuse-oversized fuse=F1 reason=x\n' >"$bench"
expect 'nothing to accept' 0 'warning: acceptance-unmatched, F1' "$prearc" check --bench "$bench" "$deck"
expect 'nothing to accept, left out' 0 'left out: .*acceptance-expired' \
    "$prearc" check --only acceptance-unmatched --bench "$bench" "$deck"
grep -q 'warning: acceptance-unmatched' "$work/out" && complain 'left out: a check that did not run is unmatched'
printf 'fitted part=F2 marking=T5AL250V\naccept rule=fuse-fitted-differs fuse=F2 level=warning reason=x\n' >"$bench"
expect 'an error is no warning' 1 'acceptance-unmatched' "$prearc" check --bench "$bench" "$deck"

# Some checks only.
refuses 'no such check to skip' '--skip: there is no check fuse-oversize; the nearest is fuse-oversized' \
    "check --skip fuse-oversize $deck"
refuses 'no such check to run' '--only: there is no check x; the nearest is' "check --only x $deck"
refuses 'no check left' 'leave no check' "check --only fuse-oversized --skip fuse-oversized $deck"
expect 'one left out' 0 'left out: as asked, these checks were not run: fuse-fitted-differs,' \
    "$prearc" check --skip fuse-oversized --skip fuse-fitted-differs --fitted F2=T5AL250V "$deck"
expect 'one only' 1 'checked: 1 check run' "$prearc" check --only fuse-fitted-differs --fitted F2=T5AL250V "$deck"
grep -A 9 'left out: ' "$work/out" | grep -q fuse-oversized || complain 'one only: what was left out is not said'
expect 'skipped in the facts' 0 '<skipped rule="fuse-oversized"/>' "$prearc" facts --skip fuse-oversized "$deck"
expect 'skipped in SARIF' 0 '"enabled": false' "$prearc" check --format sarif --skip fuse-oversized "$deck"

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
