suite_files += %D%/check_bench_read.c %D%/check_amend.c
