src_libprearc_a_SOURCES += \
	%D%/average.c %D%/average.h \
	%D%/bipolar.c \
	%D%/averaged.c \
	%D%/altered.c \
	%D%/build.c %D%/build.h \
	%D%/build_coupled.c \
	%D%/build_diode.c \
	%D%/build_passive.c \
	%D%/build_semiconductor.c \
	%D%/build_source.c \
	%D%/build_transistor.c \
	%D%/build_valve.c \
	%D%/build_winding.c \
	%D%/capacitor.c \
	%D%/channel.c \
	%D%/core_inrush.c \
	%D%/coupled.c \
	%D%/device.h \
	%D%/devices.c \
	%D%/direct_path.c %D%/direct_path.h \
	%D%/diode.c \
	%D%/mean_filter.c \
	%D%/inductor.c \
	%D%/junction.c %D%/junction.h \
	%D%/load.c \
	%D%/network.c %D%/network.h \
	%D%/open.c \
	%D%/pentode.c \
	%D%/regulator.c \
	%D%/resistor.c \
	%D%/spelling.c %D%/spelling.h \
	%D%/stamp.h \
	%D%/transformer.c \
	%D%/triode.c \
	%D%/valve_constants.c %D%/valve_constants.h \
	%D%/valve_diode.c \
	%D%/valve_law.c %D%/valve_law.h \
	%D%/voltage_source.c \
	%D%/zener.c
