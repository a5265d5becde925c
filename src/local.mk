# The stages in order; each folder lists its own files.
noinst_LIBRARIES += src/libprearc.a
src_libprearc_a_SOURCES =

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
include %D%/study/local.mk

prearc_libraries = src/libprearc.a $(XML_LIBS) $(JANSSON_LIBS) $(KLU_LIBS)

# The command line, apart from main, so that the tests can run the whole pipeline in one process.
noinst_LIBRARIES += src/libcommands.a
src_libcommands_a_SOURCES = \
	%D%/check_command.c \
	%D%/cli.c %D%/cli.h \
	%D%/completion_command.c \
	%D%/data_dir.c %D%/data_dir.h \
	%D%/deck_command.c \
	%D%/explain_command.c \
	%D%/facts_command.c \
	%D%/fitting.c %D%/fitting.h \
	%D%/manual_command.c \
	%D%/output.c %D%/output.h \
	%D%/route.c %D%/route.h \
	%D%/run.c %D%/run.h \
	%D%/study_command.c \
	%D%/today.c %D%/today.h \
	%D%/trace_command.c \
	%D%/trace_view.c %D%/trace_view.h

bin_PROGRAMS += prearc
prearc_SOURCES = %D%/main.c
prearc_LDADD = src/libcommands.a $(prearc_libraries)

# The manual and the completions are printed by the program from its own tables.
man1_MANS = prearc.1
bashcompletiondir = $(datadir)/bash-completion/completions
nodist_bashcompletion_DATA = completion/prearc
zshcompletiondir = $(datadir)/zsh/site-functions
nodist_zshcompletion_DATA = completion/_prearc
fishcompletiondir = $(datadir)/fish/vendor_completions.d
nodist_fishcompletion_DATA = completion/prearc.fish
printed_files = $(man1_MANS) $(nodist_bashcompletion_DATA) $(nodist_zshcompletion_DATA) \
	$(nodist_fishcompletion_DATA)
CLEANFILES += $(printed_files)

$(printed_files): prearc$(EXEEXT)
prearc.1:
	$(AM_V_GEN)./prearc$(EXEEXT) manual --output $@
completion/prearc:
	$(AM_V_GEN)$(MKDIR_P) completion && ./prearc$(EXEEXT) completion bash --output $@
completion/_prearc:
	$(AM_V_GEN)$(MKDIR_P) completion && ./prearc$(EXEEXT) completion zsh --output $@
completion/prearc.fish:
	$(AM_V_GEN)$(MKDIR_P) completion && ./prearc$(EXEEXT) completion fish --output $@
