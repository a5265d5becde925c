nobase_dist_pkgdata_DATA += %D%/export.xml %D%/netlist.xml
EXTRA_DIST += %D%/README.md
