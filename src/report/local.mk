src_libprearc_a_SOURCES += %D%/report.h
