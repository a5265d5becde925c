#!/bin/sh
# The unit tests but for the slow ones, which units_slow.sh runs beside them.
exec "$top_builddir/tests/check_prearc" -check_agreement -check_driven -check_inrush -check_ngspice -check_rectifier_table -check_rests -check_stages \
    -check_supplies
