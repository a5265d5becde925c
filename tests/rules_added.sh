#!/bin/sh
# A check added from another folder, without touching C: --rules DIR. One of an id that exists replaces it.
set -u

prearc=$top_builddir/prearc
demo=$top_srcdir/netlists/heronsgate-40/spice/sound.cir
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT

cat >"$work/choke-hot.sch" <<'X'
<?xml version="1.0" encoding="UTF-8"?>
<schema xmlns="http://purl.oclc.org/dsdl/schematron" queryBinding="xslt">
  <title>Choke that carries more than this bench likes</title>
  <p class="why">A house rule.</p>
  <p class="fix">Fit a larger choke.</p>
  <p class="source">common practice, no source</p>
  <pattern>
    <rule context="part[@kind = 'choke']">
      <report test="number(@amps) &gt; 0.01" role="error">Choke <value-of select="@ref"/> carries
        <value-of select="@amps"/> A.</report>
    </rule>
  </pattern>
</schema>
X
"$prearc" check "$demo" >"$work/without" || { echo "FAIL the sound demo has errors"; exit 1; }
"$prearc" check --rules "$work" "$demo" >"$work/with"
[ $? = 1 ] || { echo "FAIL the added check does not set the exit code"; exit 1; }
grep -q 'error: choke-hot, L1' "$work/with" || { echo "FAIL the added check does not fire"; exit 1; }
grep -q 'choke-hot' "$work/without" && { echo "FAIL the added check fires without being added"; exit 1; }
"$prearc" explain --rules "$work" choke-hot | grep -q 'A house rule' || { echo "FAIL explain does not know it"; exit 1; }

sed 's/0\.01/100/' "$work/choke-hot.sch" >"$work/fuse-oversized.sch"
rm "$work/choke-hot.sch"
"$prearc" check --rules "$work" "$top_srcdir/netlists/heronsgate-40/spice/ht-link-oversized.cir" >"$work/replaced"
grep -q 'fuse-oversized, F2' "$work/replaced" && { echo "FAIL a check of the same id is not replaced"; exit 1; }
echo "a check can be added and replaced"
