#!/bin/sh
# The demo amplifier as prearc solves it against a transient of the simulator on the same circuit: HT within 2 %,
# mains RMS within 5 %.
set -u

if ! command -v ngspice >/dev/null; then
    echo "*** SKIPPED: ngspice is not installed; the demo was NOT compared ***"
    [ -z "${CI:-}" ] || exit 1
    exit 77
fi
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
timeout 100 ngspice -b "$top_srcdir/tests/bench/heronsgate-40.cir" >"$work/simulated" 2>/dev/null </dev/null
"$top_builddir/prearc" facts "$top_srcdir/netlists/heronsgate-40/spice/sound.cir" >"$work/facts"
fact() { xmllint --xpath "string($1)" "$work/facts"; }
simulated() { sed -n "s/^$1 *= *\([^ ]*\).*/\1/p" "$work/simulated"; }
agree() {
    awk -v name="$1" -v got="$2" -v want="$3" -v percent="$4" 'BEGIN {
        printf "%s: prearc %s, simulator %s\n", name, got, want
        exit !(want != 0 && got != "" && (got / want - 1) ^ 2 <= (percent / 100) ^ 2)
    }' </dev/null
}
agree "HT, V" "$(fact '//net[@name="HT_A"]/@volts')" "$(simulated ht)" 2 &&
    agree "mains, A RMS" "$(fact '//fuse[@ref="F1"]/@idle-amps')" "$(simulated mains_rms)" 5
