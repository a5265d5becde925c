#!/bin/sh
# The decks that prearc writes of the demo amplifiers, run by the simulator: every net within 2 % or 0.2 % of what it swings by, every
# fuse's RMS current within 5 %. The sound one also from rest, and with each of its faults.
set -u

# LEFT OUT under the sanitizers: the simulator, which is the same in both builds; the decks are written and that is all.
if ! command -v ngspice >/dev/null; then
    echo "*** SKIPPED: ngspice is not installed; the demos were NOT compared ***"
    [ -z "${CI:-}" ] || exit 1
    exit 77
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
prearc=$top_builddir/prearc
failed=0

# agrees DECK SAID: every "* prearc: NAME = FIGURE" of DECK beside NAME = FIGURE in SAID
agrees() {
    awk '
        function abs(x) { return x < 0 ? -x : x }
        FNR == NR && /^\* prearc: / && $4 == "=" { want[tolower($3)] = $5; next }
        FNR != NR { sub(/ *=/, " = ") } # a long name leaves no blank
        FNR != NR && $2 == "=" && ($1 in want) { got[$1] = $3 }
        END {
            for (name in want) {
                kind = substr(name, 1, 1)
                if (abs(want[name]) > largest[kind]) largest[kind] = abs(want[name])
            }
            for (name in want) {
                if (!(name in got)) { print "nothing said of " name; bad++; continue }
                kind = substr(name, 1, 1)
                net = name
                sub(/_[a-z]*$/, "", net)
                swing = (net "_rms" in want) ? 2.83 * want[net "_rms"] : want[net "_high"] - want[net "_low"]
                share = kind == "v" ? 0.02 : name ~ /_peak$/ ? 0.1 : 0.05
                allowed = share * abs(want[name]) + 1e-4 * largest[kind] + (kind == "v" ? 0.002 * swing : 1e-9)
                if (abs(got[name] - want[name]) > allowed) {
                    print name ": prearc " want[name] ", simulator " got[name]
                    bad++
                }
                if (name ~ /^i_.*_rms$/ && want[name] > 1e-3) {
                    percent = 100 * abs(got[name] / want[name] - 1)
                    if (percent > worst) worst = percent
                }
                count++
            }
            printf "%d figures, fuses within %.2f %%\n", count, worst
            exit bad > 0 || count == 0
        }' "$1" "$2"
}

# From the solved state of some faults the simulator finds no first step: then from rest, where it owes prearc nothing.
try_fault() {
    if [ -z "${PREARC_SANITIZED:-}" ] && "$prearc" deck --output "$work/deck" "$@" &&
        timeout 100 ngspice -b "$work/deck" 2>&1 </dev/null | grep -q 'Timestep too small; initial timepoint'; then
        try --start rest "$@"
    else
        try "$@"
    fi
}

# try WORDS...: one deck
try() {
    if [ -n "${PREARC_SANITIZED:-}" ]; then
        "$prearc" deck --output "$work/deck" "$@" && [ -s "$work/deck" ] || { echo "FAIL: $*"; failed=1; }
        return
    fi
    if ! "$prearc" deck --output "$work/deck" "$@" ||
        ! timeout 100 ngspice -b "$work/deck" >"$work/said" 2>/dev/null </dev/null ||
        ! agrees "$work/deck" "$work/said" >"$work/result"; then
        echo "FAIL: $*"
        failed=1
    fi
    echo "$*: $(cat "$work/result")"
}

sound=$top_srcdir/netlists/heronsgate-40/spice/sound.cir
for netlist in "$top_srcdir"/netlists/*/spice/*.cir "$top_srcdir"/netlists/*/xml/*.xml; do
    # Under the sanitizers one fault of each kind and the sound circuits; the figures are the plain build's affair.
    [ -z "${PREARC_SANITIZED:-}" ] || [ "$netlist" != "${netlist%/sound.cir}" ] || continue
    try "$netlist"
done
try --start rest "$sound"
faults=$("$prearc" facts "$sound" | xmllint --xpath '//fault/@id' - | sed 's/^ *id="//; s/"$//')
[ -n "$faults" ] || failed=1
[ -z "${PREARC_SANITIZED:-}" ] || faults="short-rail1-HT_RES short-D1 short-T1.HT-frame short-V4-anode-cathode short-C7 open-F2 open-F3"
for fault in $faults; do
    try_fault --fault "$fault" "$sound"
done
exit "$failed"
