src_libprearc_a_SOURCES += \
	%D%/fuse_state.c %D%/fuse_state.h \
	%D%/influence.c %D%/influence.h \
	%D%/whatif.c %D%/whatif.h
