suite_files += \
	%D%/check_rectifier_table.c \
	%D%/check_stages.c \
	%D%/check_steady.c
EXTRA_DIST += %D%/rig.h %D%/deck_rig.h
