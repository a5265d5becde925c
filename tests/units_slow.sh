#!/bin/sh
# The unit tests that solve hundreds of circuits or run the simulator. Under the sanitizers those whose circuits the others
# solve as well are left out: there it is the memory that is watched, not the figures.
suites="check_agreement check_driven check_ngspice check_stages check_supplies"
if [ -n "${PREARC_SANITIZED:-}" ]; then export CK_FORK=no; else suites="$suites check_faults_ngspice check_inrush check_rectifier_table check_rests"; fi
# shellcheck disable=SC2086
exec "$top_builddir/tests/check_prearc" $suites
