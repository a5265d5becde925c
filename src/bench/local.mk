src_libprearc_a_SOURCES += %D%/bench.h %D%/fitted.h \
	%D%/amend.c %D%/amend.h \
	%D%/bench_form.c %D%/bench_form.h \
	%D%/bench_line.c %D%/bench_line.h \
	%D%/bench_read.c \
	%D%/bench_words.c %D%/bench_words.h \
	%D%/holder.c \
	%D%/settle.c \
	%D%/winding_measured.c
