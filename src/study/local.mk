src_libprearc_a_SOURCES += \
	%D%/drawing.c %D%/drawing.h \
	%D%/fuse_map.c \
	%D%/fuse_plot.c \
	%D%/markup.c %D%/markup.h \
	%D%/page.c %D%/page.h \
	%D%/page_html.c \
	%D%/page_text.c \
	%D%/study.c %D%/study.h \
	%D%/study_bench.c \
	%D%/study_compare.c \
	%D%/study_faults.c \
	%D%/study_fuses.c \
	%D%/study_jacks.c \
	%D%/study_rails.c \
	%D%/study_words.c
