suite_files += %D%/check_rests.c %D%/check_facts.c %D%/check_rules.c %D%/check_schematron.c %D%/check_ways.c

# The engine against an independent one.
check_PROGRAMS += tests/rule/findings
tests_rule_findings_SOURCES = %D%/findings.c
tests_rule_findings_LDADD = $(prearc_libraries)
TESTS += %D%/twin.sh
EXTRA_DIST += %D%/twin.sh %D%/schematron-twin.mjs %D%/facts

# Fitting what is recommended contents the checks.
check_PROGRAMS += tests/rule/right_links
tests_rule_right_links_SOURCES = %D%/right_links.c
tests_rule_right_links_CPPFLAGS = $(AM_CPPFLAGS) -I$(srcdir)/tests
tests_rule_right_links_LDADD = src/libcommands.a $(prearc_libraries)
TESTS += tests/rule/right_links
