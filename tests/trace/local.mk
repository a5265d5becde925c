suite_files += %D%/check_coverage.c %D%/check_agreement.c
