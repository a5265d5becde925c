# nobase_dist_pkgdata_DATA += %D%/name
