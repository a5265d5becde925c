src_libprearc_a_SOURCES += %D%/fuselink.h
