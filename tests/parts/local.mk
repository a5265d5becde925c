suite_files += %D%/check_kinds.c
EXTRA_DIST += %D%/made_circuit.h
