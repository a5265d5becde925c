suite_files += %D%/check_sarif.c %D%/check_text.c
EXTRA_DIST += %D%/cli.sh %D%/specimen.h %D%/supply.cir %D%/validate-sarif.mjs
