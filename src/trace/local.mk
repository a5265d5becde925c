src_libprearc_a_SOURCES += \
	%D%/chains.c %D%/chains.h \
	%D%/conduction.c %D%/conduction.h \
	%D%/coverage.c \
	%D%/direct.c \
	%D%/doubts.c \
	%D%/half_cycles.c \
	%D%/loops.c %D%/loops.h \
	%D%/mains.c \
	%D%/rail.c \
	%D%/rail_name.c \
	%D%/rectifier.c \
	%D%/riding.c \
	%D%/roles.c \
	%D%/sources.c \
	%D%/trace.c %D%/trace.h \
	%D%/tracing.h \
	%D%/upstream.c \
	%D%/zones.c
