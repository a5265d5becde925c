nobase_dist_pkgdata_DATA += rules/facts.rng rules/findings.schema.json \
	%D%/acceptance-expired.sch \
	%D%/acceptance-unmatched.sch \
	%D%/bias-lost-with-ht.sch \
	%D%/circuit-not-solved.sch \
	%D%/fault-uncleared.sch \
	%D%/fuse-ac-rating-on-dc.sch \
	%D%/fuse-breaking-capacity-low.sch \
	%D%/fuse-bypassed.sch \
	%D%/fuse-fitted-differs.sch \
	%D%/fuse-in-protective-earth.sch \
	%D%/fuse-marking-unknown.sch \
	%D%/fuse-not-time-lag.sch \
	%D%/fuse-nuisance-at-switch-on.sch \
	%D%/fuse-oversized.sch \
	%D%/fuse-rating-not-preferred.sch \
	%D%/fuse-undersized.sch \
	%D%/fuse-volts-below-circuit.sch \
	%D%/live-unfused.sch \
	%D%/net-measured-differs.sch \
	%D%/no-mains-section.sch \
	%D%/part-not-recognised.sch \
	%D%/rail-lost-dc-on-speaker.sch \
	%D%/rail-not-found.sch \
	%D%/rail-partly-protected.sch \
	%D%/rail-unprotected.sch \
	%D%/rectifier-valve-overloaded.sch \
	%D%/value-missing.sch
