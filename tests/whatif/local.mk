suite_files += \
	%D%/check_full_signal.c
suite_files += %D%/check_switch_on.c %D%/check_unknown_feed.c
suite_files += %D%/check_stress.c
suite_files += %D%/check_sweep.c
