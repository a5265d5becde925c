src_libprearc_a_SOURCES += \
	%D%/arena.c %D%/arena.h \
	%D%/crew.c %D%/crew.h \
	%D%/diag.c %D%/diag.h \
	%D%/forest.c %D%/forest.h \
	%D%/heap.c %D%/heap.h \
	%D%/map.c %D%/map.h \
	%D%/nearest.c %D%/nearest.h \
	%D%/number.c %D%/number.h \
	%D%/quantity.c %D%/quantity.h \
	%D%/quantity_item.c %D%/quantity_item.h \
	%D%/quantity_print.c \
	%D%/source.c %D%/source.h \
	%D%/text.c %D%/text.h
