# suite_files += %D%/check_name.c
suite_files += %D%/check_xml.c
EXTRA_DIST += %D%/xml/export-old.xml %D%/xml/export-new.xml %D%/xml/netlist.xml
