src_libprearc_a_SOURCES += %D%/facts.h %D%/rules.h \
	%D%/acceptance.c %D%/acceptance.h \
	%D%/expression.c %D%/expression.h \
	%D%/facts.c %D%/facts_build.h \
	%D%/facts_assumptions.c %D%/facts_bridges.c \
	%D%/facts_discharge.c %D%/facts_discharge.h \
	%D%/facts_bench.c \
	%D%/facts_contacts.c \
	%D%/facts_faults.c \
	%D%/facts_fitted.c \
	%D%/facts_full.c \
	%D%/facts_high_mains.c %D%/facts_high_mains.h \
	%D%/facts_fuses.c \
	%D%/facts_mains_side.c \
	%D%/facts_nets.c \
	%D%/facts_parts.c \
	%D%/facts_rail_practice.c \
	%D%/facts_rails.c \
	%D%/facts_rests.c %D%/facts_rests.h \
	%D%/facts_stress.c %D%/facts_stress.h \
	%D%/facts_supply.c \
	%D%/facts_recommend.c %D%/fuse_place.c %D%/fuse_place.h \
	%D%/fuse_index.c %D%/fuse_index.h \
	%D%/facts_sections.c \
	%D%/facts_silicon.c \
	%D%/facts_strings.c \
	%D%/facts_unknown.c \
	%D%/facts_unrated.c \
	%D%/facts_valves.c \
	%D%/facts_xml.c %D%/facts_xml.h \
	%D%/finding.c %D%/finding.h \
	%D%/judge.c %D%/judge.h \
	%D%/rail_figures.c \
	%D%/rules.c \
	%D%/selection.c %D%/selection.h \
	%D%/schematron.h %D%/schematron_load.c %D%/schematron_run.c \
	%D%/ways.c %D%/ways.h
