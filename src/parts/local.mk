src_libprearc_a_SOURCES += \
	%D%/ballot.c %D%/ballot.h \
	%D%/diode_figures.c \
	%D%/feed.c \
	%D%/figure.c \
	%D%/kind.c \
	%D%/library.c %D%/library.h \
	%D%/parts.h \
	%D%/parts_dump.c \
	%D%/pin_order.c \
	%D%/pins.c \
	%D%/ratings.c \
	%D%/recognise.c %D%/recogniser.h \
	%D%/source_text.c \
	%D%/switch_pins.c \
	%D%/transistor_figures.c \
	%D%/valve_pins.c \
	%D%/winding_build.c %D%/winding_build.h \
	%D%/winding_field.c \
	%D%/winding_guess.c \
	%D%/winding_names.c \
	%D%/winding_ohms.c \
	%D%/windings.c \
	%D%/warm_ohms.c \
	%D%/witness.c \
	%D%/wording.c %D%/wording.h
