#!/bin/sh
# Netlists as people draw them, tests/coverage/NAME.cir or .xml, each with NAME.FORMAT.expect beside it: what a person who
# reads the drawing says of it. One line a statement:
#   fuse REF NET SOURCE full|partial|none|upstream   how REF covers NET against SOURCE (upstream: through a transformer)
#   protection NET none|upstream|partial|own
#   no-right REF REASON                              no single link does what is asked of it, for that reason
#   rectifier PARTS TOPOLOGY SOURCE                  parts joined by +
#   rail SOURCE RETURN NET NET...                    its nodes in the order in which they are fed
#   kind REF KIND | mains SOURCE live|neutral FUSE|-
#   finding LEVEL RULE OBJECT | no LEVEL [RULE [OBJECT]]
#   figure ELEMENT NAME=VALUE ATTRIBUTE WANT PERCENT attribute of that element of the facts; WANT -: it has none
#   says RULE TEXT                                   the report, which names RULE (assumed: what it rests on), has TEXT
#   exit CODE | solved yes|no
set -u

cases=$top_srcdir/tests/coverage
list=$top_builddir/tests/list
SOURCE_DATE_EPOCH=1767225600 # 1 January 2026, as in the other tests: each netlist is solved once for all
export SOURCE_DATE_EPOCH
work=$(mktemp -d) || exit 1
trap 'rm -rf "$work"' EXIT
passed=0 failed=0

# Facts, one element a line, as statements of the form above.
statements() {
    awk '
    function get(name,  s, at) {
        at = match($0, " " name "=\"[^\"]*\"")
        if (!at) return "-"
        s = substr($0, RSTART + length(name) + 3, RLENGTH - length(name) - 4)
        gsub(/ /, "+", s)
        return s == "" ? "-" : s
    }
    /^ *<facts/ { print "solved", get("solved") }
    /^  <part/ { print "kind", get("ref"), get("kind") }
    /^  <net/ && / protection=/ { print "protection", get("name"), get("protection") }
    /^  <mains/ { mains = get("source") }
    /^    <conductor/ { print "mains", mains, get("role"), get("fuse") }
    /^  <rectifier/ { print "rectifier", get("parts"), get("topology"), get("source") }
    /^  <rail/ { rail = "rail " get("source") " " get("return") }
    /^    <node/ { rail = rail " " get("net") }
    /^  <\/rail/ { print rail }
    /^  <fuse/ { fuse = get("ref"); print "no-right", fuse, get("no-recommendation") }
    /^    <protects/ { print "fuse", fuse, get("net"), get("source"),
                       get("upstream") == "yes" ? "upstream" : get("coverage") }'
}

# The figure: ELEMENT NAME=VALUE ATTRIBUTE WANT PERCENT.
figure() {
    got=$(awk -v element="<$1" -v key=" ${2%%=*}=\"${2#*=}\"" -v name="$3" '
        $1 == element && index($0, key) {
            found = 1
            if (match($0, " " name "=\"[^\"]*\"")) {
                print substr($0, RSTART + length(name) + 3, RLENGTH - length(name) - 4); said = 1
            }
            exit
        }
        END { if (found && !said) print "-" }' "$work/of.facts.xml")
    [ "$4" = - ] && { [ "$got" = - ]; return; }
    awk -v got="$got" -v want="$4" -v percent="$5" 'BEGIN {
        off = got - want; exit !(got != "" && got != "-" && (off < 0 ? -off : off) <= want * percent / 100) }'
}

# Does the statement $1... hold?
holds() {
    case $1 in
    fuse)
        [ "$5" = none ] && { ! grep -q "^fuse $2 $3 $4 " "$work/said"; return; }
        grep -Fqx "$*" "$work/said" ;;
    finding) grep -Fqx "$2	$3	$4" "$work/of.findings" ;;
    no) ! grep -q "^$2	${3:-}${4:+	$4\$}" "$work/of.findings" ;;
    figure) shift; figure "$@" ;;
    says) grep -q "$2" "$work/report" || return 1; shift 2; tr -s ' \n' '  ' <"$work/report" | grep -Fq "$*" ;;
    exit) [ "$code" = "$2" ] ;;
    kind | mains | no-right | protection | rail | rectifier | solved) grep -Fqx "$*" "$work/said" ;;
    *) return 1 ;;
    esac
}

check() {
    # One process solves the netlist and writes facts and findings; the command itself is run for what only it says.
    : >"$work/of.facts.xml"
    : >"$work/report"
    code=none
    "$list" "$work/of." "$1" 2>/dev/null || echo "broken	-	-" >"$work/of.findings"
    statements <"$work/of.facts.xml" >"$work/said"
    if grep -Eq '^(says|exit) ' "$1.expect"; then
        "$top_builddir/prearc" check "$1" >"$work/report" 2>&1
        code=$?
    fi
    lines=0
    while read -r line; do
        case $line in '' | '#'*) continue ;; esac
        lines=$((lines + 1))
        # shellcheck disable=SC2086
        if holds $line; then
            passed=$((passed + 1))
        else
            failed=$((failed + 1))
            echo "FAIL ${1#"$cases"/}: $line"
            set -- "$1" $line
            grep -F "$2 ${3:-}" "$work/said" | head -n 8 | sed 's/^/     said: /'
            grep -F "${4:-}" "$work/of.findings" | head -n 8 | sed 's/^/    found: /'
        fi
    done <"$1.expect"
    [ "$lines" -gt 0 ] || { echo "FAIL $1: nothing expected"; failed=$((failed + 1)); }
}

set -f
for name in $(ls "$cases"); do
    case $name in
    *.expect)
        [ -f "$cases/${name%.expect}" ] || { echo "FAIL $name: no netlist"; failed=$((failed + 1)); } ;;
    *)
        if [ -f "$cases/$name.expect" ]; then check "$cases/$name"; else
            echo "FAIL $name: no expectation"
            failed=$((failed + 1))
        fi ;;
    esac
done
echo "$passed passed, $failed failed"
[ "$failed" = 0 ] && [ "$passed" -gt 0 ]
