#include "report/report.h"

const struct writer *const writers[] = {&text_writer, &sarif_writer, &json_writer, NULL};
