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
