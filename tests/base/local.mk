suite_files += %D%/check_source.c
