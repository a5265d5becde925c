suite_files += \
	%D%/check_rectifier_table.c \
	%D%/check_steady.c
EXTRA_DIST += %D%/rig.h
