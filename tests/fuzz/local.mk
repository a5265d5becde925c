# Fuzz targets, made by `make fuzz` after configuring with --enable-fuzzing. Seeds: tests/fuzz/NAME/.
fuzz_targets = %D%/fuzz_brackets %D%/fuzz_edif %D%/fuzz_export %D%/fuzz_packages %D%/fuzz_spice %D%/fuzz_stamped \
	%D%/fuzz_xml %D%/fuzz_bench %D%/fuzz_boards %D%/fuzz_dialect %D%/fuzz_marking %D%/fuzz_value
EXTRA_DIST += %D%/run.sh %D%/fuzz_bench.c %D%/fuzz_boards.c %D%/fuzz_dialect.c %D%/fuzz_marking.c %D%/fuzz_reader.c %D%/fuzz_value.c
check_PROGRAMS += %D%/replay
%C%_replay_SOURCES = %D%/replay.c
%C%_replay_LDADD = $(prearc_libraries)
TESTS += %D%/replay.sh
EXTRA_DIST += %D%/replay.sh
if FUZZING
EXTRA_PROGRAMS += $(fuzz_targets)
fuzz_cppflags = $(AM_CPPFLAGS)
fuzz_ldflags = $(AM_LDFLAGS) -fsanitize=fuzzer
%C%_fuzz_brackets_SOURCES = %D%/fuzz_reader.c
%C%_fuzz_brackets_CPPFLAGS = $(fuzz_cppflags) -DREADER=brackets_reader
%C%_fuzz_brackets_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_brackets_LDADD = $(prearc_libraries)
%C%_fuzz_edif_SOURCES = %D%/fuzz_reader.c
%C%_fuzz_edif_CPPFLAGS = $(fuzz_cppflags) -DREADER=edif_reader
%C%_fuzz_edif_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_edif_LDADD = $(prearc_libraries)
%C%_fuzz_export_SOURCES = %D%/fuzz_reader.c
%C%_fuzz_export_CPPFLAGS = $(fuzz_cppflags) -DREADER=export_reader
%C%_fuzz_export_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_export_LDADD = $(prearc_libraries)
%C%_fuzz_packages_SOURCES = %D%/fuzz_reader.c
%C%_fuzz_packages_CPPFLAGS = $(fuzz_cppflags) -DREADER=packages_reader
%C%_fuzz_packages_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_packages_LDADD = $(prearc_libraries)
%C%_fuzz_spice_SOURCES = %D%/fuzz_reader.c
%C%_fuzz_spice_CPPFLAGS = $(fuzz_cppflags) -DREADER=spice_reader
%C%_fuzz_spice_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_spice_LDADD = $(prearc_libraries)
%C%_fuzz_stamped_SOURCES = %D%/fuzz_reader.c
%C%_fuzz_stamped_CPPFLAGS = $(fuzz_cppflags) -DREADER=stamped_reader
%C%_fuzz_stamped_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_stamped_LDADD = $(prearc_libraries)
%C%_fuzz_xml_SOURCES = %D%/fuzz_reader.c
%C%_fuzz_xml_CPPFLAGS = $(fuzz_cppflags) -DREADER=xml_reader
%C%_fuzz_xml_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_xml_LDADD = $(prearc_libraries)
%C%_fuzz_bench_SOURCES = %D%/fuzz_bench.c
%C%_fuzz_bench_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_bench_LDADD = $(prearc_libraries)
%C%_fuzz_boards_SOURCES = %D%/fuzz_boards.c
%C%_fuzz_boards_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_boards_LDADD = $(prearc_libraries)
%C%_fuzz_dialect_SOURCES = %D%/fuzz_dialect.c
%C%_fuzz_dialect_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_dialect_LDADD = $(prearc_libraries)
%C%_fuzz_marking_SOURCES = %D%/fuzz_marking.c
%C%_fuzz_marking_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_marking_LDADD = $(prearc_libraries)
%C%_fuzz_value_SOURCES = %D%/fuzz_value.c
%C%_fuzz_value_LDFLAGS = $(fuzz_ldflags)
%C%_fuzz_value_LDADD = $(prearc_libraries)
fuzz: $(fuzz_targets)
	$(AM_TESTS_ENVIRONMENT) sh $(srcdir)/%D%/run.sh
endif
