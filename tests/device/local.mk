suite_files += \
	%D%/check_build.c \
	%D%/check_device.c
