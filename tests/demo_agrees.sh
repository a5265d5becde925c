#!/bin/sh
# The demo amplifiers as prearc solves them against transients of the simulator on the same circuits: volts within 2 %, fuse
# RMS within 5 %.
set -u

if ! command -v ngspice >/dev/null; then
    echo "*** SKIPPED: ngspice is not installed; the demos were NOT compared ***"
    [ -z "${CI:-}" ] || exit 1
    exit 77
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0

run() {
    timeout 100 ngspice -b "$top_srcdir/tests/bench/$1.cir" >"$work/simulated" 2>/dev/null </dev/null
    "$top_builddir/prearc" facts "$top_srcdir/netlists/$1/spice/sound.cir" >"$work/facts"
}
fact() { xmllint --xpath "string($1)" "$work/facts"; }
simulated() { sed -n "s/^$1 *= *\([^ ]*\).*/\1/p" "$work/simulated"; }
agree() {
    awk -v name="$1" -v got="$2" -v want="$3" -v percent="$4" 'BEGIN {
        printf "%s: prearc %s, simulator %s\n", name, got, want
        exit !(want != 0 && got != "" && (got / want - 1) ^ 2 <= (percent / 100) ^ 2)
    }' </dev/null || failed=1
}
volts() { agree "$1, V" "$(fact "//net[@name=\"$1\"]/@volts")" "$(simulated "$2")" 2; }

run heronsgate-40
volts HT_A ht
agree "mains, A RMS" "$(fact '//fuse[@ref="F1"]/@idle-amps')" "$(simulated mains_rms)" 5

run quillmoor-5
volts HT_A ht
volts K_3 cathode
volts A_2A anode
agree "mains, A RMS" "$(fact '//fuse[@ref="F1"]/@idle-amps')" "$(simulated mains_rms)" 5
agree "HT fuse, V RMS across it" "$(fact '//net[@name="HT_CT"]/@rms-volts')" "$(simulated ht_ct_rms)" 5
exit $failed
