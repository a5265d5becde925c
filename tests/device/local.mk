suite_files += \
	%D%/check_build.c \
	%D%/check_device.c \
	%D%/check_semiconductors.c \
	%D%/check_valve_points.c \
	%D%/check_valves.c
EXTRA_DIST += %D%/tangent.h
