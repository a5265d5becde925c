#!/bin/sh
# The unit tests but for the slow ones, which units_slow.sh runs beside them. Under the sanitizers all in one process:
# the search for leaks at the end of each costs more than most tests.
[ -z "${PREARC_SANITIZED:-}" ] || export CK_FORK=no
exec "$top_builddir/tests/check_prearc" -check_agreement -check_driven -check_faults_ngspice -check_inrush -check_ngspice -check_rectifier_table -check_rests -check_stages \
    -check_supplies
