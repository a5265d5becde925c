src_libprearc_a_SOURCES += \
	%D%/cold_network.c %D%/cold_network.h \
	%D%/fuse_state.c %D%/fuse_state.h \
	%D%/switch_on.c %D%/switch_on.h \
	%D%/whatif.c %D%/whatif.h
