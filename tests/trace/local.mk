suite_files += %D%/check_coverage.c
