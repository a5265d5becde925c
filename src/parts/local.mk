src_libprearc_a_SOURCES += %D%/parts.h
