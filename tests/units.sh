#!/bin/sh
# The unit tests but for the slow ones, which units_slow.sh runs beside them. All in one process: a process for each costs more
# than most tests, and under the sanitizers the search for leaks at its end does. CK_FORK=yes finds one that crashes.
export CK_FORK="${CK_FORK:-no}"
exec "$top_builddir/tests/check_prearc" -check_agreement -check_driven -check_faults_ngspice -check_inrush -check_ngspice -check_rectifier_table -check_rests -check_stages \
    -check_supplies
