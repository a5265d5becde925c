src_libprearc_a_SOURCES += %D%/solve.h
