suite_files += %D%/check_gates.c %D%/check_breaking.c %D%/check_marking.c %D%/check_melting.c %D%/check_pulse.c %D%/check_recommend.c
