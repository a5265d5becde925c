#!/bin/sh
# The unit tests that solve hundreds of circuits or run the simulator.
exec "$top_builddir/tests/check_prearc" check_agreement check_driven check_inrush check_ngspice check_rectifier_table check_rests check_stages check_supplies
