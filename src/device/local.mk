src_libprearc_a_SOURCES += \
	%D%/device.h \
	%D%/network.c %D%/network.h
