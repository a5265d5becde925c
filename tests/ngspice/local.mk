suite_files += %D%/check_driven.c %D%/check_inrush.c %D%/check_ngspice.c

EXTRA_DIST += $(wildcard $(srcdir)/tests/supplies/*.cir $(srcdir)/tests/stages/*.cir \
	$(srcdir)/tests/driven/*.cir)
