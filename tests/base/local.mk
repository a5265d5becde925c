suite_files += %D%/check_quantity.c %D%/check_source.c
