# suite_files += %D%/check_name.c
suite_files += %D%/check_xml.c %D%/check_xml_dialect.c %D%/check_xml_robust.c
EXTRA_DIST += %D%/xml/export-old.xml %D%/xml/export-new.xml %D%/xml/netlist.xml %D%/xml/ipc-2581.xml
