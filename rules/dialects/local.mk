nobase_dist_pkgdata_DATA += %D%/dialect.rng %D%/export.xml %D%/ipc-2581.xml %D%/netlist.xml
EXTRA_DIST += %D%/README.md
