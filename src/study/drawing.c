#include "study/drawing.h"

#include "base/text.h"
#include "study/markup.h"

void draw_start(struct text *out, double width, double height, const char *title)
{
    text_print(out, "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 %g %g\" role=\"img\"><title>", width,
               height);
    markup_add(out, title);
    text_add(out, "</title>");
}

void draw_end(struct text *out)
{
    text_add(out, "</svg>");
}

void draw_label(struct text *out, double x, double y, const char *anchor, double size, const char *label,
                unsigned columns)
{
    text_print(out, "<text x=\"%g\" y=\"%g\" text-anchor=\"%s\" font-size=\"%g\">", x, y, anchor, size);
    markup_add_short(out, label, columns);
    text_add(out, "</text>");
}

void draw_line(struct text *out, double x1, double y1, double x2, double y2, const char *more)
{
    text_print(out, "<path d=\"M%g %gL%g %g\" fill=\"none\" stroke=\"currentColor\" %s/>", x1, y1, x2, y2,
               more);
}

void draw_box(struct text *out, double x, double y, double width, double height, double radius,
              const char *more)
{
    text_print(out, "<rect x=\"%g\" y=\"%g\" width=\"%g\" height=\"%g\" rx=\"%g\" stroke=\"currentColor\" %s/>", x,
               y, width, height, radius, more);
}
