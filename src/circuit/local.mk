src_libprearc_a_SOURCES += \
	%D%/circuit.c %D%/circuit.h
