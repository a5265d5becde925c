src_libprearc_a_SOURCES += %D%/reader.h
