src_libprearc_a_SOURCES += \
	%D%/arena.c %D%/arena.h \
	%D%/diag.c %D%/diag.h \
	%D%/map.c %D%/map.h \
	%D%/quantity.h \
	%D%/source.c %D%/source.h \
	%D%/text.c %D%/text.h
