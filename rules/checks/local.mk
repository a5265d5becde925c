nobase_dist_pkgdata_DATA += rules/facts.rng \
	%D%/circuit-not-solved.sch \
	%D%/fuse-bypassed.sch \
	%D%/fuse-in-protective-earth.sch \
	%D%/fuse-marking-unknown.sch \
	%D%/fuse-nuisance-at-switch-on.sch \
	%D%/fuse-oversized.sch \
	%D%/fuse-undersized.sch \
	%D%/live-unfused.sch \
	%D%/no-mains-section.sch \
	%D%/part-not-recognised.sch \
	%D%/rail-not-found.sch \
	%D%/rail-partly-protected.sch \
	%D%/rail-unprotected.sch \
	%D%/value-missing.sch
