#!/bin/sh
# Several netlists that make one circuit: a demo on two boards and a chassis is what it is in one netlist; what a deck says
# of boards, right and wrong. tests/boards holds the boards; decks are made here from tests/boards/chassis.cir.
set -u

prearc=$(cd "$top_builddir" && pwd)/prearc
list=$top_builddir/tests/list
cases=$(cd "$top_srcdir" && pwd)/tests/boards
demo=$top_srcdir/netlists/heronsgate-40
PREARC_DATA=${PREARC_DATA:-$(cd "$top_srcdir" && pwd)/rules}
export PREARC_DATA
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
passed=0 failed=0

fail() {
    echo "FAIL $1"
    [ ! -f "$work/out" ] || sed 's/^/    | /' "$work/out" | head -n 12
    failed=$((failed + 1))
}

pass() {
    passed=$((passed + 1))
}

# figures FILE: every figure of the facts that tells of rails, nets, fuses, sources and faults, one a line, by what it is of.
figures() {
    awk '
    function get(name,  s) {
        if (!match($0, " " name "=\"[^\"]*\"")) return ""
        s = substr($0, RSTART + length(name) + 3, RLENGTH - length(name) - 4)
        return s
    }
    function put(what, names,  i, n, list) {
        n = split(names, list, " ")
        for (i = 1; i <= n; i++) if (get(list[i]) != "") print what " " list[i] "\t" get(list[i])
    }
    /^  <net/ { put("net " get("name"), "role protection volts rms-volts low high") }
    /^  <rail/ { rail = get("name"); put("rail " rail, "source volts ripple-volts amps full-amps best-protection") }
    /^    <node/ { put("node " rail " " get("net"), "volts joules protection") }
    /^  <rectifier/ { put("rectifier " get("parts"), "topology source average-amps peak-amps reverse-volts") }
    /^  <fuse/ { fuse = get("ref"); put("fuse " fuse, "idle-amps full-amps clipped-amps switch-on-i2t opening-amps recommended placement") }
    /^    <protects/ { put("protects " fuse " " get("net") " " get("source"), "coverage upstream") }
    /^    <through/ { put("through " fault " " get("fuse"), "amps opens-by") }
    /^  <fault/ { fault = get("kind") " " get("site") " " get("net") " " get("return"); put("fault " fault, "amps") }' "$1" | sort
}

# alike ONE OTHER: the same lines, numbers within 0.1 % (or 1 uV of each other: what is nothing but rounding)
alike() {
    awk -F '\t' 'NR == FNR { want[$1] = $2; n++; next }
        !($1 in want) { print "new: " $0; bad = 1; next }
        { a = want[$1]; b = $2; seen++
          if (a == b) next
          d = a - b; if (d < 0) d = -d; m = a < 0 ? -a : a
          if (a + 0 == 0 && a !~ /^[-+0-9.]/ || d > 0.001 * m && d > 1e-6 && d > 0.01 * (m < 1e-3)) { print $1 ": " a " and " b; bad = 1 } }
        END { if (seen != n) { print n - seen " are missing"; bad = 1 } exit bad }' "$1" "$2"
}

# One amplifier, in one netlist and in three, whatever their order: fuse map, figures, findings.
boards="$demo/boards/power.xml $demo/boards/preamp.xml $demo/boards/chassis.cir"
"$list" findings "$demo/spice/sound.cir" | sort >"$work/one"
"$prearc" facts "$demo/spice/sound.cir" >"$work/one.xml"
figures "$work/one.xml" >"$work/one.figures"
[ "$(wc -l <"$work/one.figures")" -gt 300 ] || fail "few figures: $(wc -l <"$work/one.figures")"
for order in "$boards" "$demo/boards/chassis.cir $demo/boards/preamp.xml $demo/boards/power.xml"; do
    # shellcheck disable=SC2086
    { "$list" findings $order | sort >"$work/many"; "$prearc" facts $order >"$work/many.xml"; }
    figures "$work/many.xml" >"$work/many.figures"
    diff "$work/one" "$work/many" >"$work/out" && [ -s "$work/one" ] && pass || fail "other findings: $order"
    alike "$work/one.figures" "$work/many.figures" >"$work/out" && pass || fail "other figures: $order"
    [ -n "${PREARC_SANITIZED:-}" ] && break
done
xmllint --noout --nonet --relaxng "$top_srcdir/rules/facts.rng" "$work/many.xml" 2>"$work/out" && pass || fail "facts are not valid"

# expect NAME CODE TEXT COMMAND...: the exit code, and TEXT in what is said, blanks and line ends alike
expect() {
    name=$1 code=$2 text=$3
    shift 3
    "$@" >"$work/out" 2>&1 </dev/null
    got=$?
    [ "$got" = "$code" ] || { fail "$name: exit $got, not $code"; return; }
    tr -s ' \n' '  ' <"$work/out" | grep -Fq -e "$text" || { fail "$name: nothing says '$text'"; return; }
    pass
}

# deck SED: the chassis deck, changed
deck() {
    sed "$1" "$cases/chassis.cir" >"$work/chassis.cir"
}

cp "$cases/psu.xml" "$cases/load.xml" "$work"
cd "$work" || exit 1
all="psu.xml load.xml chassis.cir"
check() { # NAME CODE TEXT
    # shellcheck disable=SC2086
    expect "$1" "$2" "$3" "$prearc" check $all
}

deck ''
check 'what it is made of' 0 'made of: psu (psu.xml): 7 parts, 4 of its pins wired; its GND is the ground that volts are counted from'
check 'the deck of it' 0 'chassis (chassis.cir): 4 parts, wires the others; its 0 is the ground'
deck 's/load:J1.1/J1.1/'
check 'two boards have J1' 2 'chassis.cir:16:15: J1.1 can mean more than one pin: there is a part J1 in several netlists'
check 'what to write' 2 'expected: psu:J1.1, load:J1.1'
deck 's/load:J1.1/load:J1.4/'
check 'no such pin' 2 'chassis.cir:16:15: J1 of load.xml has no pin 4; the nearest is'
check 'its pins' 2 'expected: one of its pins: 1, 2, 3'
deck 's/load:J1.1/laod:J1.1/'
check 'no such netlist' 2 'chassis.cir:16:15: no netlist here is called laod; the nearest is load'
deck 's/J2.1/J22.1/'
check 'no such part' 2 'chassis.cir:16:10: there is no part J22 in the netlists that go with this deck; the nearest is J2'
deck 's/load:J1.1/load:J2.1/'
check 'no such part of a board' 2 'chassis.cir:16:15: there is no part J2 in load.xml; the nearest is J1'
deck 's/XX1/XJ2/'
check 'a part of the deck itself' 0 'chassis.cir:16:10: J2.1 is read as pin 1 of J2 of psu.xml; this deck has a part of that name too'
check 'and what would be clear' 0 'expected: psu:J2.1, which leaves no doubt'
deck 's/XX1 L N/XJ1 J1.1 N/; s/XFM1 L/XFM1 J1.1/'
check 'a pin of either' 2 'chassis.cir:11:5: J1.1 is a pin of this deck'
deck 's/load:J1.1/load:J1.1 load:J1.3/'
check 'a pin on no net' 0 'chassis.cir:16:25: pin 3 of J1 is on no net of load.xml: the wire to it leads nowhere'
deck 's/ load:J1.2//'
check 'a ground that is not wired' 0 'the ground GND of load.xml is joined to nothing else: no deck wires a pin that is on it'
check 'and what it is then' 0 'its GND is net load:GND, not the ground'
deck 's/^.connect J2.1.*//'
check 'a supply that is not wired' 1 'connector-unwired, J2'

# Netlists that no deck refers to stay by themselves; so do decks with nodes that only look so.
expect 'apart' 0 'netlist: load.xml: 3 parts' "$prearc" check psu.xml load.xml
[ "$(grep -c '^    netlist: ' out)" = 2 ] && pass || fail 'apart: not two reports'
printf 'Own names\nR1 R1.1 R1.2 1k\nC1 R1.1 R1.2 1u\nX9 a R7.1 b BOX\n.subckt BOX p q r\nR5 p J1.1 1k\nR6 J1.1 q 1k\nR8 q r 1k\n.ends\n.end\n' >own.cir
expect 'own names' 0 'netlist: own.cir: ' "$prearc" check own.cir load.xml
[ "$(grep -c '^    netlist: ' out)" = 2 ] && pass || fail 'own names: not two reports'

# Every command, and what a bench file says, by references that may be qualified.
deck ''
# shellcheck disable=SC2086
{
    expect 'trace' 0 'F1' "$prearc" trace $all F1
    expect 'trace by a qualified name' 0 'F1' "$prearc" trace $all psu:F1
    expect 'trace of two' 2 'J1 is in several netlists: say which, psu:J1, load:J1' "$prearc" trace $all J1
    expect 'trace a net by any of its names' 0 'HT' "$prearc" trace $all load:J1.1
    expect 'facts' 0 '<netlist name="load" file="load.xml"' "$prearc" facts $all
    expect 'a place in a board' 0 'ref="psu:R1"' "$prearc" facts $all
    grep '<part ref="psu:R1"' out | grep -q 'file="psu.xml" line="' && pass || fail 'a place in a board: none'
    expect 'deck' 0 '.end' "$prearc" deck $all
    expect 'study' 0 'psu.xml + load.xml + chassis.cir' "$prearc" study $all
    expect 'compare' 0 'Now: psu.xml + load.xml + chassis.cir' "$prearc" study --compare psu.xml --compare load.xml \
        --compare chassis.cir $all
    expect 'fitted' 1 'F1' "$prearc" check --fitted F1=F5AL250V $all
    expect 'fitted by a qualified name' 1 'F5AL250V' "$prearc" check --fitted psu:F1=F5AL250V $all
    expect 'json' 0 '"made-of"' "$prearc" check --format json $all
    expect 'sarif' 0 '"uri": "chassis.cir"' "$prearc" check --format sarif $all
    echo 'part ref=load:R1 value=4k7' >good.bench
    expect 'a bench file' 0 '4k7' "$prearc" facts --bench good.bench $all
    echo 'part ref=R1 value=4k7' >bad.bench
    expect 'a bench file that does not say which' 2 'bad.bench:1:10: R1 is in several netlists: say which' \
        "$prearc" facts --bench bad.bench $all
}
expect 'facts of two circuits' 2 'are not one circuit' "$prearc" facts psu.xml load.xml

# One board twice, boards of one name in two folders, a board that is a deck itself, models of one name.
sed '$d' chassis.cir >twice.cir
printf '.connect J2.1 load#2:J1.1\n.connect 0 load#2:J1.2\n.end\n' >>twice.cir
expect 'a board twice' 0 'load#2 (load.xml)' "$prearc" check psu.xml load.xml load.xml twice.cir
mkdir -p left right && cp load.xml left && cp load.xml right
sed 's/load:J1.1/left\/load:J1.1 right\/load:J1.1/; s/load:J1.2/left\/load:J1.2 right\/load:J1.2/' chassis.cir >folders.cir
expect 'two boards of one name' 0 'right/load (right/load.xml)' "$prearc" check psu.xml left/load.xml right/load.xml folders.cir
printf 'Board as a deck\nXJ1 hot 0 CONN_2\nR1 hot n 10k\nD1 n 0 DX\n.model DX D(IS=1e-9)\n.subckt CONN_2 1 2\n.ends\n.end\n' >load.cir
sed 's/^.end/D9 J2.1 z DX\nR9 z 0 10k\n.model DX D(IS=2e-9)\n.end/' chassis.cir >models.cir
expect 'a board that is a deck' 0 'load (load.cir): 3 parts, 2 of its pins wired; its 0 is the ground' "$prearc" check psu.xml load.cir models.cir
"$prearc" facts psu.xml load.cir models.cir >out
{ grep -A 30 '<part ref="load:D1"' out | grep -m 1 saturation | grep -q 'value="1e-09"' &&
    grep -A 30 '<part ref="D9"' out | grep -m 1 saturation | grep -q 'value="2e-09"'; } && pass || fail 'models of one name'

# A chassis deck that is cut short anywhere is told, or read as far as it goes.
size=$(wc -c <chassis.cir)
for length in $(seq 0 43 "$size"); do
    head -c "$length" chassis.cir >cut.cir
    "$prearc" facts psu.xml load.xml cut.cir >out 2>&1
    [ $? -le 2 ] && pass || fail "cut at byte $length"
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
