suite_files += \
	%D%/check_awkward.c \
	%D%/check_islands.c \
	%D%/check_rectifier_table.c \
	%D%/check_rectifier_valves.c \
	%D%/check_stage_points.c \
	%D%/check_stages.c \
	%D%/check_start_up.c \
	%D%/check_steady.c \
	%D%/check_supplies.c \
	%D%/check_transistor_amps.c
EXTRA_DIST += %D%/rig.h %D%/deck_rig.h
