#!/bin/sh
# Times prearc beside other programs at the same job; medians of RUNS runs, in seconds. Run by `make bench`.
set -u

prearc=$top_builddir/prearc
runs=${RUNS:-5}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

# seconds COMMAND...: the median wall-clock time of RUNS runs
seconds() {
    for run in $(seq "$runs"); do
        start=$(date +%s%N)
        "$@" >"$work/out" 2>&1
        end=$(date +%s%N)
        echo $((end - start))
    done | sort -n | awk '{ t[NR] = $1 } END { printf "%.4f", t[int((NR + 1) / 2)] / 1e9 }'
}

row() { printf '%-52s %10s s   %-40s %10s s   ratio %8s\n' "$1" "$2" "$3" "$4" "$(awk "BEGIN { printf \"%.3g\", $2 / $4 }" </dev/null)"; }

demo=$top_srcdir/netlists/heronsgate-40/spice/sound.cir
checked=$(seconds "$prearc" check "$demo") solved=$(seconds "$top_builddir/tests/bench_study" "$demo" failures)
row "prearc check, demo, all checks" "$checked" "its solve alone, the failures judged included" "$solved"
row "prearc check, demo, all checks" "$checked" "the sound circuit's solve alone" "$(seconds "$top_builddir/tests/bench_study" "$demo")"
awk "BEGIN { exit !($checked < 3 * $solved) }" </dev/null ||
    echo "FAIL prearc check takes three times its solve and more"
if command -v ngspice >/dev/null; then
    "$prearc" deck --start rest --output "$work/demo.cir" "$demo"
    row "read, steady, full signal, switch-on, demo" "$(seconds "$top_builddir/tests/bench_study" "$demo")" \
        "ngspice transient, demo, from rest" "$(seconds ngspice -b "$work/demo.cir")"
    row "the demo's $("$prearc" facts "$demo" | grep -c '<fault ') faults and all else: prearc facts" "$(seconds "$prearc" facts "$demo")" \
        "ngspice transient, demo, from rest" "$(seconds ngspice -b "$work/demo.cir")"
else
    echo "*** SKIPPED: ngspice is not installed; the demo was NOT timed against it ***"
fi
for parts in 100 1000 10000; do
    netlist=$work/rack$parts.xml
    awk -v parts=$parts -f "$top_srcdir/tests/bench/generate.awk" </dev/null >"$netlist"
    row "read, steady, full signal, switch-on, $parts parts" \
        "$(seconds "$top_builddir/tests/bench_study" "$netlist")" \
        "xmllint --noout, the same file" "$(seconds xmllint --noout "$netlist")"
    row "prearc check, $parts parts" "$(seconds "$prearc" check "$netlist")" \
        "xmllint --noout, the same file" "$(seconds xmllint --noout "$netlist")"
done
# Reading alone: EDIF of 6 MB and of 60 MB, beside well-formedness of as large an XML file.
for parts in 10500 105000; do
    awk -v parts=$parts -f "$top_srcdir/tests/bench/generate.awk" </dev/null >"$work/rack.xml"
    "$top_builddir/tests/formats/write" edif-netlist "$work/rack.xml" "$top_srcdir/rules" >"$work/rack.edf" 2>"$work/out"
    awk -v parts=$((parts * 8 / 5)) -f "$top_srcdir/tests/bench/generate.awk" </dev/null >"$work/rack.xml"
    row "read EDIF, $parts parts" "$(seconds "$top_builddir/tests/formats/write" none "$work/rack.edf")" \
        "xmllint --noout, as many bytes" "$(seconds xmllint --noout "$work/rack.xml")"
done
# Reading alone: XML of 10,000 and 100,000 parts, time and memory.
for parts in 10000 100000; do
    awk -v parts=$parts -f "$top_srcdir/tests/bench/generate.awk" </dev/null >"$work/rack.xml"
    printf '%-52s %20s   %-40s %20s\n' "read XML, $parts parts: CPU, peak memory" \
        "$("$top_builddir/tests/bench/peak" "$top_builddir/tests/formats/write" none "$work/rack.xml" "$top_srcdir/rules")" \
        "xmllint --noout, the same file" "$("$top_builddir/tests/bench/peak" xmllint --noout "$work/rack.xml")"
done
