# Data: parts, dialects and checks. Installed as they are.
nobase_dist_pkgdata_DATA =

include %D%/checks/local.mk
include %D%/dialects/local.mk
include %D%/parts/local.mk
