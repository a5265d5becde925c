suite_files += %D%/check_rules.c %D%/check_schematron.c
