src_libprearc_a_SOURCES += \
	%D%/anderson.c %D%/anderson.h \
	%D%/condensed.c %D%/condensed.h \
	%D%/condensed_rows.c \
	%D%/condensing.c %D%/condensing.h \
	%D%/dense.c %D%/dense.h \
	%D%/descent.c %D%/descent.h \
	%D%/excerpt.c %D%/excerpt.h \
	%D%/floating.c %D%/floating.h \
	%D%/grids.c %D%/grids.h \
	%D%/island.c %D%/island.h \
	%D%/links.c \
	%D%/matrix.c %D%/matrix.h \
	%D%/newton.c \
	%D%/operating_point.c %D%/operating_point.h \
	%D%/period.c %D%/period.h \
	%D%/search.c %D%/search.h \
	%D%/settling.c %D%/settling.h \
	%D%/solution.c %D%/solution.h \
	%D%/solve.c %D%/solve.h \
	%D%/start_up.c %D%/start_up.h \
	%D%/start_up_skip.c %D%/start_up_skip.h \
	%D%/steady.c %D%/steady.h \
	%D%/system.c %D%/system.h \
	%D%/trail.c %D%/trail.h \
	%D%/warming.c %D%/warming.h
