src_libprearc_a_SOURCES += \
	%D%/deck.c %D%/deck.h \
	%D%/deck_comment.c %D%/deck_comment.h \
	%D%/deck_head.c %D%/deck_head.h \
	%D%/deck_measures.c %D%/deck_measures.h \
	%D%/deck_names.c %D%/deck_names.h
