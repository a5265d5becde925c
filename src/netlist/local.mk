src_libprearc_a_SOURCES += %D%/reader.h
src_libprearc_a_SOURCES += %D%/xml.c %D%/xml_document.c %D%/xml_document.h \
	%D%/xml_path.c %D%/xml_path.h %D%/xml_step.c %D%/xml_step.h \
	%D%/xml_dialect.c %D%/xml_dialect.h \
	%D%/xml_reading.h %D%/xml_join.c %D%/xml_components.c %D%/xml_connections.c
