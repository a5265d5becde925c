# Unit tests: one program, one suite a file. tests/STAGE/check_NAME.c exports check_NAME_suite;
# the list of suites is made from the list of files.
check_PROGRAMS += tests/check_prearc
suite_files =

include %D%/base/local.mk
include %D%/circuit/local.mk
include %D%/netlist/local.mk
include %D%/parts/local.mk
include %D%/fuselink/local.mk
include %D%/bench/local.mk
include %D%/device/local.mk
include %D%/solve/local.mk
include %D%/trace/local.mk
include %D%/whatif/local.mk
include %D%/deck/local.mk
include %D%/rule/local.mk
include %D%/report/local.mk
include %D%/ngspice/local.mk
include %D%/fuzz/local.mk

tests_check_prearc_SOURCES = %D%/check_prearc.c %D%/check_prearc.h $(suite_files)
nodist_tests_check_prearc_SOURCES = tests/suites.h
tests_check_prearc_CPPFLAGS = $(AM_CPPFLAGS) -I$(srcdir)/tests -I$(builddir)/tests
tests_check_prearc_CFLAGS = $(AM_CFLAGS) $(CHECK_CFLAGS)
tests_check_prearc_LDADD = src/libcommands.a $(prearc_libraries) $(CHECK_LIBS)
AM_TESTS_ENVIRONMENT = top_srcdir='$(top_srcdir)' top_builddir='$(top_builddir)' PREARC_SOLVED="$$PWD/tests/solved"; \
	export top_srcdir top_builddir PREARC_SOLVED;

# What tests/list solved for one test it keeps for the others, until the next "make check".
check_DATA = tests/solved/empty
tests/solved/empty: FORCE
	$(AM_V_at)rm -rf tests/solved && mkdir -p tests/solved
FORCE:
.PHONY: FORCE
clean-local: clean-solved
clean-solved:
	rm -rf tests/solved

BUILT_SOURCES += tests/suites.h
CLEANFILES += tests/suites.h
tests/suites.h: $(srcdir)/%D%/local.mk $(suite_files)
	$(AM_V_GEN)mkdir -p tests && for f in $(suite_files); do \
	  n=$${f##*/}; echo "SUITE($${n%.c}_suite)"; done >$@

# The whole pipeline: programs the scripts use, and the scripts.
check_PROGRAMS += tests/list tests/cuts tests/bench_study tests/formats/write
format_sources = %D%/formats/deck_writer.c %D%/formats/deck_writer.h %D%/formats/formats.c %D%/formats/formats.h \
	%D%/formats/ipc_writer.c %D%/formats/ipc_writer.h %D%/formats/words.h
tests_formats_write_SOURCES = %D%/formats/write.c $(format_sources)
tests_formats_write_CPPFLAGS = $(AM_CPPFLAGS) -I$(srcdir)/tests
tests_formats_write_LDADD = $(prearc_libraries)
mutant_sources = %D%/mutants/corpus.c %D%/mutants/drawing.c %D%/mutants/drawing.h %D%/mutants/mutants.h \
	%D%/mutants/mutate_faults.c %D%/mutants/mutate_fuses.c %D%/mutants/mutate_mains.c %D%/mutants/mutate_parts.c %D%/mutants/mutate_supply.c \
	%D%/mutants/mutate_told.c %D%/mutants/subject.c
check_PROGRAMS += tests/mutants/corpus
tests_mutants_corpus_SOURCES = $(mutant_sources) $(format_sources)
tests_mutants_corpus_CPPFLAGS = $(AM_CPPFLAGS) -I$(srcdir)/tests
tests_mutants_corpus_LDADD = src/libcommands.a $(prearc_libraries)
EXTRA_PROGRAMS += tests/bench/peak
CLEANFILES += tests/bench/peak
tests_bench_peak_SOURCES = %D%/bench/peak.c
tests_list_SOURCES = %D%/list.c
tests_list_LDADD = src/libcommands.a $(prearc_libraries)
tests_bench_study_SOURCES = %D%/bench_study.c
tests_bench_study_LDADD = src/libcommands.a $(prearc_libraries)
tests_cuts_SOURCES = %D%/cuts.c
tests_cuts_LDADD = src/libcommands.a $(prearc_libraries)

# The longest first, so that two cores end together.
script_tests = \
	%D%/units_slow.sh \
	%D%/schemas.sh \
	%D%/mutants.sh \
	%D%/study.sh \
	%D%/units.sh \
	%D%/demo_agrees.sh \
	%D%/formats.sh \
	%D%/coverage.sh \
	%D%/fixtures.sh \
	%D%/damage.sh \
	%D%/goldens.sh \
	%D%/encodings.sh \
	%D%/limits.sh \
	%D%/boards.sh \
	%D%/hostile.sh \
	%D%/recipes.sh \
	%D%/readme.sh \
	%D%/report/cli.sh \
	%D%/bench_file.sh \
	%D%/messages.sh \
	%D%/conventions.sh \
	%D%/catalogue.sh \
	%D%/manners.sh \
	%D%/names.sh \
	%D%/rules_added.sh
TEST_EXTENSIONS = .sh
SH_LOG_COMPILER = sh
TESTS += $(script_tests)
EXTRA_DIST += $(script_tests)
EXTRA_DIST += %D%/bench/bench.sh %D%/bench/generate.awk

.PHONY: bench fuzz
bench: prearc tests/bench_study tests/formats/write tests/bench/peak
	$(AM_TESTS_ENVIRONMENT) sh $(srcdir)/tests/bench/bench.sh
