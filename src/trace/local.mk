src_libprearc_a_SOURCES += %D%/trace.h
