suite_files += \
	%D%/check_full_signal.c
suite_files += %D%/check_switch_on.c
suite_files += %D%/check_stress.c
suite_files += %D%/check_sweep.c
