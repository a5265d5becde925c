src_libprearc_a_SOURCES += %D%/facts.h %D%/rules.h \
	%D%/expression.c %D%/expression.h \
	%D%/facts.c %D%/facts_build.h \
	%D%/facts_assumptions.c %D%/facts_bridges.c \
	%D%/facts_faults.c \
	%D%/facts_high_mains.c %D%/facts_high_mains.h \
	%D%/facts_fuses.c \
	%D%/facts_nets.c \
	%D%/facts_parts.c \
	%D%/facts_rails.c \
	%D%/facts_rests.c %D%/facts_rests.h \
	%D%/facts_supply.c \
	%D%/facts_unknown.c \
	%D%/facts_xml.c %D%/facts_xml.h \
	%D%/finding.c %D%/finding.h \
	%D%/judge.c %D%/judge.h \
	%D%/rail_figures.c \
	%D%/rules.c \
	%D%/schematron.h %D%/schematron_load.c %D%/schematron_run.c
