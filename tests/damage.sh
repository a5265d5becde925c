#!/bin/sh
# Small netlists and a bench file cut after every byte and damaged at every byte, through the whole pipeline.
set -u

# Every third byte; SAMPLED under the sanitizers: every thirteenth.
step=${PREARC_SANITIZED:+13}
step=${step:-3}
"$top_builddir/tests/cuts" "$top_srcdir/tests/rules/fuse-oversized/good-right-link.cir" "$step" &&
    "$top_builddir/tests/cuts" "$top_srcdir/tests/damage/small.xml" "$step" &&
    "$top_builddir/tests/cuts" "$top_srcdir/tests/damage/small.bench" "$step" \
        "$top_srcdir/tests/rules/fuse-oversized/good-right-link.cir" &&
    for form in brackets/amp edif/net edif/sch export/old export/new packages/amp stamped/amp; do
        "$top_builddir/tests/cuts" "$top_srcdir/tests/fuzz/$form" "$step" || exit 1
    done
