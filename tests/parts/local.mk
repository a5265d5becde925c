suite_files += %D%/check_feeds.c
suite_files += %D%/check_figures.c
suite_files += %D%/check_hostile_parts.c
suite_files += %D%/check_kinds.c
suite_files += %D%/check_library.c
suite_files += %D%/check_pins.c
suite_files += %D%/check_windings.c
EXTRA_DIST += %D%/made_circuit.h
