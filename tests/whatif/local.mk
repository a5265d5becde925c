suite_files += \
	%D%/check_full_signal.c
