#!/bin/sh
# Every file of the fuzz corpora, through its target.
set -eu

PREARC_DATA_DIR=$top_srcdir/rules
export PREARC_DATA_DIR
set --
for folder in "$top_srcdir"/tests/fuzz/*/; do
    set -- "$@" "${folder%/}"
done
"$top_builddir/tests/fuzz/replay" "$@"
