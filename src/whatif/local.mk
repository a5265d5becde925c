src_libprearc_a_SOURCES += %D%/whatif.h
