src_libprearc_a_SOURCES += %D%/reader.h \
	%D%/reader.c \
	%D%/spice.c \
	%D%/spice_build.h \
	%D%/spice_cards.c \
	%D%/spice_couplings.c \
	%D%/spice_deck.c %D%/spice_deck.h \
	%D%/spice_elements.c \
	%D%/spice_expression.c %D%/spice_expression.h \
	%D%/spice_include.c \
	%D%/spice_lines.c %D%/spice_lines.h \
	%D%/spice_models.c \
	%D%/spice_names.c %D%/spice_names.h \
	%D%/spice_nets.c \
	%D%/spice_params.c \
	%D%/spice_parts.c \
	%D%/spice_skip.c \
	%D%/spice_sources.c \
	%D%/spice_subckt.c \
	%D%/spice_tokens.c %D%/spice_tokens.h
src_libprearc_a_SOURCES += %D%/xml.c %D%/xml_document.c %D%/xml_document.h \
	%D%/xml_path.c %D%/xml_path.h %D%/xml_step.c %D%/xml_step.h \
	%D%/xml_dialect.c %D%/xml_dialect.h \
	%D%/xml_reading.h %D%/xml_join.c %D%/xml_components.c %D%/xml_connections.c
src_libprearc_a_SOURCES += %D%/assembly.c %D%/assembly.h %D%/brackets.c \
	%D%/edif.c %D%/edif.h %D%/edif_cells.c %D%/edif_contents.c %D%/edif_flatten.c \
	%D%/edif_flatten.h %D%/edif_instances.c %D%/edif_joins.c %D%/edif_lists.c %D%/edif_lists.h %D%/edif_nodes.c %D%/edif_parts.c %D%/edif_texts.c \
	%D%/export.c %D%/export.h %D%/export_lists.c %D%/packages.c \
	%D%/part_pins.c %D%/part_pins.h %D%/plain_lines.c %D%/plain_lines.h %D%/sexpr.c %D%/sexpr.h %D%/stamped.c
src_libprearc_a_SOURCES += %D%/boards.c %D%/boards.h %D%/boards_join.c %D%/boards_pins.c
