nobase_dist_pkgdata_DATA += \
	%D%/rectifier-valves.xml \
	%D%/semiconductors.xml \
	%D%/small-parts.xml \
	%D%/transistors.xml \
	%D%/valves.xml \
	%D%/words.xml
EXTRA_DIST += %D%/README.md
