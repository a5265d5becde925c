suite_files += %D%/check_sarif.c %D%/check_text.c
EXTRA_DIST += %D%/cli.sh %D%/validate-sarif.mjs
