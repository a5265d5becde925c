suite_files += \
	%D%/check_driven.c \
	%D%/check_faults_ngspice.c \
	%D%/check_inrush.c \
	%D%/check_inrush_loads.c \
	%D%/check_ngspice.c \
	%D%/check_ngspice_drawn.c \
	%D%/check_ngspice_fails.c \
	%D%/check_verdicts.c

EXTRA_DIST += %D%/deck_case.h %D%/simulator.h
EXTRA_DIST += $(wildcard $(srcdir)/tests/supplies/*.cir $(srcdir)/tests/stages/*.cir $(srcdir)/tests/amplifiers/*.cir \
	$(srcdir)/tests/driven/*.cir)
