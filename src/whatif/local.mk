src_libprearc_a_SOURCES += \
	%D%/audio_path.c %D%/audio_path.h \
	%D%/drive_cycle.c %D%/drive_cycle.h \
	%D%/follower_stage.c %D%/follower_stage.h \
	%D%/excursions.c %D%/excursions.h \
	%D%/full_signal.c %D%/full_signal.h \
	%D%/mean_current.c %D%/mean_current.h \
	%D%/output_stage.c %D%/output_stage.h \
	%D%/output_transformer.c %D%/output_transformer.h \
	%D%/signal_share.c %D%/signal_share.h \
	%D%/stage_valve.c %D%/stage_valve.h \
	%D%/valve_probe.c %D%/valve_probe.h \
	%D%/cold_network.c %D%/cold_network.h \
	%D%/fuse_state.c %D%/fuse_state.h \
	%D%/switch_on.c %D%/switch_on.h \
	%D%/stress.c %D%/stress.h \
	%D%/stress_active.c %D%/stress_kinds.h %D%/stress_passive.c \
	%D%/withstand.c %D%/withstand.h \
	%D%/high_mains.c %D%/high_mains.h \
	%D%/influence.c %D%/influence.h \
	%D%/candidates.c %D%/candidates.h \
	%D%/capacitors.c %D%/capacitors.h \
	%D%/clearing.c \
	%D%/held_rails.c %D%/held_rails.h \
	%D%/heaters_out.c %D%/heaters_out.h \
	%D%/power_valves.c %D%/power_valves.h \
	%D%/reach.c %D%/reach.h \
	%D%/sweep.c %D%/sweep.h \
	%D%/unknown_feed.c %D%/unknown_feed.h \
	%D%/worsening.c \
	%D%/whatif.c %D%/whatif.h
