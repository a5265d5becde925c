# Writes an <export> netlist of about PARTS parts: a rack of amplifiers of some 55 parts each (inlet, fuses, transformer,
# rectifier, reservoir, dropper, triode stages). Usage: awk -v parts=10000 -f generate.awk </dev/null
function part(ref, value, lib, symbol, fields) {
    printf "    <comp ref=\"%s\">\n      <value>%s</value>\n", ref, value
    if (fields != "") printf "      <fields>%s</fields>\n", fields
    printf "      <libsource lib=\"%s\" part=\"%s\" description=\"\"/>\n", lib, symbol
    print "      <sheetpath names=\"/\" tstamps=\"/\"/>\n    </comp>"
    made++
}
function join(net, ref, pin, name) {
    if (!(net in count)) names[++nets] = net
    nodes[net, ++count[net]] = sprintf("      <node ref=\"%s\" pin=\"%s\" pinfunction=\"%s\" pintype=\"passive\"/>", ref, pin, name)
}
function two(ref, value, symbol, a, b, fields) {
    part(ref, value, "Passive", symbol, fields)
    join(a, ref, "1", symbol == "D" ? "K" : "~")
    join(b, ref, "2", symbol == "D" ? "A" : "~")
}
function field(name, value) { return "<field name=\"" name "\">" value "</field>" }
function stage(n, k, ht,    v, p) {
    p = n "_" k
    v = "V" p
    part(v, "12AX7", "Valve", "TRIODE", field("idle current", "1mA"))
    join("A" p, v, "1", "A"); join("G" p, v, "2", "G"); join("K" p, v, "3", "K")
    two("RA" p, "100k", "R", ht, "A" p, "")
    two("RK" p, "1k5", "R", "K" p, "GND", "")
    two("CK" p, "22u/25V", "C", "K" p, "GND", "")
    two("RG" p, "1M", "R", "G" p, "GND", "")
    two("CC" p, "22n/400V", "C", "A" p, "G" n "_" (k + 1), "")
}
function supply(n,    t, k) {
    t = "T" n
    part("J" n, "C14", "Mains", "IEC_Inlet_C14", "")
    join("MAINS_L" n, "J" n, "1", "L"); join("MAINS_N" n, "J" n, "2", "N"); join("GND", "J" n, "3", "E")
    two("F" n "M", "T1AH250V", "Fuse", "MAINS_L" n, "L_SW" n, "")
    part(t, "230 V", "Mains", "Transformer_Mains", \
         field("windings", "primary 1-2 230V 12R; HT 3-4-5 300-0-300V 55+58R 250mA"))
    join("L_SW" n, t, "1", "P1"); join("MAINS_N" n, t, "2", "P2")
    join("HA" n, t, "3", "S1"); join("GND", t, "4", "SC"); join("HB" n, t, "5", "S2")
    two("D" n "1", "1N4007", "D", "RECT" n, "HA" n, "")
    two("D" n "2", "1N4007", "D", "RECT" n, "HB" n, "")
    two("F" n, "T500mAH250V", "Fuse", "RECT" n, "HT" n "_0", "")
    two("C" n "0", "47u/500V", "C", "HT" n "_0", "GND", "")
    two("R" n "9", "4k7", "R", "HT" n "_0", "GND", "")
    two("R" n "0", "4k7", "R", "HT" n "_0", "HT" n "_1", "")
    two("C" n "1", "22u/450V", "C", "HT" n "_1", "GND", "")
    for (k = 0; k < 7; k++) stage(n, k, "HT" n "_1")
    two("RX" n, "470k", "R", "G" n "_" 7, "GND", "")
}
BEGIN {
    print "<?xml version=\"1.0\" encoding=\"utf-8\"?>\n<export version=\"E\">\n  <components>"
    for (n = 1; made + 53 <= parts; n++) supply(n)
    print "  </components>\n  <nets>"
    for (i = 1; i <= nets; i++) {
        printf "    <net code=\"%d\" name=\"%s\">\n", i, names[i]
        for (k = 1; k <= count[names[i]]; k++) print nodes[names[i], k]
        print "    </net>"
    }
    print "  </nets>\n</export>"
}
