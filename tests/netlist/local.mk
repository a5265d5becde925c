# suite_files += %D%/check_name.c
suite_files += %D%/check_xml.c %D%/check_xml_dialect.c %D%/check_xml_robust.c
EXTRA_DIST += %D%/xml/export-old.xml %D%/xml/export-new.xml %D%/xml/netlist.xml %D%/xml/ipc-2581.xml
suite_files += %D%/check_reader.c \
	%D%/check_spice.c \
	%D%/check_spice_clash.c \
	%D%/check_spice_hostile.c \
	%D%/check_spice_include.c \
	%D%/check_spice_params.c \
	%D%/check_spice_subckt.c

EXTRA_DIST += %D%/spice_case.h \
	%D%/outside.inc \
	%D%/spice/everything.cir \
	%D%/spice/including.cir \
	%D%/spice/sub/deeper.inc \
	%D%/spice/sub/loop.inc \
	%D%/spice/sub/models.inc \
	%D%/spice/sub/parts.inc \
	%D%/spice/sub/sections.lib
suite_files += %D%/check_hostile_forms.c %D%/check_traps.c
EXTRA_DIST += %D%/traps
suite_files += %D%/check_edif.c %D%/check_export.c %D%/check_text_forms.c
EXTRA_DIST += %D%/text_case.h
