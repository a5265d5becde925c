suite_files += %D%/check_coverage.c %D%/check_agreement.c %D%/check_sources.c
