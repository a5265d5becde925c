# suite_files += %D%/check_name.c
