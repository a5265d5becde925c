src_libprearc_a_SOURCES += \
	%D%/caution.c \
	%D%/view.c %D%/view.h \
	%D%/fold.c %D%/fold.h \
	%D%/glyph.c %D%/glyph.h \
	%D%/json_report.c \
	%D%/listing.c %D%/listing.h \
	%D%/output_stages.c \
	%D%/problems.c \
	%D%/protects.c \
	%D%/report.h \
	%D%/sarif.c \
	%D%/sarif_pieces.c %D%/sarif_pieces.h \
	%D%/scope.c \
	%D%/section.h \
	%D%/sheet.c %D%/sheet.h \
	%D%/supply_tables.c \
	%D%/table.c \
	%D%/text_report.c \
	%D%/writers.c
