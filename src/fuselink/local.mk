src_libprearc_a_SOURCES += \
	%D%/fuselink.h %D%/breaking.c %D%/loading.c %D%/offers.c \
	%D%/marking_colours.c %D%/marking_colours.h \
	%D%/gates.c %D%/gates_table.c %D%/gates_table.h \
	%D%/marking.c \
	%D%/marking_amount.c %D%/marking_amount.h \
	%D%/marking_print.c \
	%D%/marking_words.c %D%/marking_words.h \
	%D%/melting.c %D%/melting_table.c %D%/melting_table.h \
	%D%/recommend.c %D%/recommend.h \
	%D%/pulse.c \
	%D%/rating.c %D%/rating.h
