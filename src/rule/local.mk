src_libprearc_a_SOURCES += %D%/facts.h %D%/rules.h
