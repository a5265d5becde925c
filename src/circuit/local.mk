src_libprearc_a_SOURCES += \
	%D%/circuit.c %D%/circuit.h \
	%D%/graph.c %D%/graph.h \
	%D%/graph_search.c
