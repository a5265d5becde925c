# The stages in order; each folder lists its own files.
noinst_LIBRARIES += src/libprearc.a
src_libprearc_a_SOURCES =

include %D%/base/local.mk
include %D%/circuit/local.mk
include %D%/netlist/local.mk
include %D%/parts/local.mk
include %D%/fuselink/local.mk
include %D%/device/local.mk
include %D%/solve/local.mk
include %D%/trace/local.mk
include %D%/whatif/local.mk
include %D%/rule/local.mk
include %D%/report/local.mk

prearc_libraries = src/libprearc.a $(XML_LIBS) $(JANSSON_LIBS) $(KLU_LIBS)
