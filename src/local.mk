# The stages in order; each folder lists its own files.
noinst_LIBRARIES += src/libprearc.a
src_libprearc_a_SOURCES =

include %D%/base/local.mk
include %D%/circuit/local.mk
include %D%/netlist/local.mk
include %D%/parts/local.mk
include %D%/fuselink/local.mk
include %D%/device/local.mk
include %D%/solve/local.mk
include %D%/trace/local.mk
include %D%/whatif/local.mk
include %D%/deck/local.mk
include %D%/rule/local.mk
include %D%/report/local.mk

prearc_libraries = src/libprearc.a $(XML_LIBS) $(JANSSON_LIBS) $(KLU_LIBS)

# The command line, apart from main, so that the tests can run the whole pipeline in one process.
noinst_LIBRARIES += src/libcommands.a
src_libcommands_a_SOURCES = \
	%D%/check_command.c \
	%D%/cli.c %D%/cli.h \
	%D%/data_dir.c %D%/data_dir.h \
	%D%/deck_command.c \
	%D%/explain_command.c \
	%D%/facts_command.c \
	%D%/fitting.c %D%/fitting.h \
	%D%/nearest.c %D%/nearest.h \
	%D%/output.c %D%/output.h \
	%D%/route.c %D%/route.h \
	%D%/run.c %D%/run.h \
	%D%/trace_command.c \
	%D%/trace_view.c %D%/trace_view.h

bin_PROGRAMS += prearc
prearc_SOURCES = %D%/main.c
prearc_LDADD = src/libcommands.a $(prearc_libraries)
