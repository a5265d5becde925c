suite_files += %D%/check_switch_on.c
