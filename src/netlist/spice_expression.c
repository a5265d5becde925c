#include "netlist/spice_expression.h"

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>
#include <strings.h>

#include "netlist/spice_lines.h"

/* Deeper expressions than this are not worked out; nobody writes them. */
enum { STACK_LARGEST = 64, NUMBER_LONGEST = 300 };

struct function {
    const char *name;
    size_t arguments; /* 1 or 2 */
    double (*of_one)(double);
    double (*of_two)(double, double);
};

static double truncate_towards_zero(double x)
{
    return trunc(x);
}

/* Natural logarithm for both log and ln, as the simulators have it. */
static const struct function functions[] = {
    {"abs", 1, fabs, NULL},      {"sqrt", 1, sqrt, NULL},
    {"exp", 1, exp, NULL},       {"ln", 1, log, NULL},
    {"log", 1, log, NULL},       {"log10", 1, log10, NULL},
    {"sin", 1, sin, NULL},       {"cos", 1, cos, NULL},
    {"tan", 1, tan, NULL},       {"atan", 1, atan, NULL},
    {"int", 1, truncate_towards_zero, NULL},
    {"floor", 1, floor, NULL},   {"ceil", 1, ceil, NULL},
    {"min", 2, NULL, fmin},      {"max", 2, NULL, fmax},
    {"pow", 2, NULL, pow},
};

enum { FUNCTION_COUNT = sizeof functions / sizeof *functions };

/* '+' '-' '*' '/', '^' for **, '~' for unary minus, '(' for an open parenthesis. */
struct operation {
    char sign;
    const struct function *function; /* of an open parenthesis, or NULL */
    size_t commas;                   /* seen inside an open parenthesis */
};

/* Two stacks instead of recursion: the input cannot choose how deep the C stack gets. */
struct machine {
    const char *text;
    size_t length, at; /* bytes */
    const struct spice_names *names;
    double values[STACK_LARGEST];
    size_t value_count;
    struct operation operations[STACK_LARGEST];
    size_t operation_count;
    struct spice_failure *failure;
};

static bool fail(struct machine *machine, const char *what, size_t at, size_t length)
{
    *machine->failure =
        (struct spice_failure){.what = what, .at = machine->text + at, .length = length};
    return false;
}

static size_t digits(const char *text, size_t length, size_t at)
{
    while (at < length && isdigit((unsigned char)text[at]))
        at++;
    return at;
}

/* The bytes of a decimal number at the start of TEXT, without scale letters. */
static size_t decimal_length(const char *text, size_t length)
{
    size_t whole = digits(text, length, 0), end = whole, exponent;

    if (end < length && text[end] == '.')
        end = digits(text, length, end + 1);
    if (end == 0 || (whole == 0 && end == 1))
        return 0;
    if (end < length && (text[end] == 'e' || text[end] == 'E')) {
        exponent = end + 1;
        if (exponent < length && (text[exponent] == '+' || text[exponent] == '-'))
            exponent++;
        if (exponent < length && isdigit((unsigned char)text[exponent]))
            end = digits(text, length, exponent);
    }
    return end;
}

struct scale {
    const char *letters;
    double factor;
};

/* Longer ones first. A mil is 25.4e-6 m. */
static const struct scale scales[] = {
    {"meg", 1e6}, {"mil", 25.4e-6}, {"\xC2\xB5", 1e-6}, {"\xCE\xBC", 1e-6}, {"t", 1e12},
    {"g", 1e9},   {"k", 1e3},       {"m", 1e-3},        {"u", 1e-6},        {"n", 1e-9},
    {"p", 1e-12}, {"f", 1e-15},
};

static double scale_of(const char *text, size_t length)
{
    for (size_t i = 0; i < sizeof scales / sizeof *scales; i++) {
        size_t letters = strlen(scales[i].letters);

        if (letters <= length && strncasecmp(text, scales[i].letters, letters) == 0)
            return scales[i].factor;
    }
    return 1;
}

size_t spice_number(const char *text, size_t length, double *value)
{
    char copy[NUMBER_LONGEST + 1];
    size_t end = decimal_length(text, length), letters;

    if (end == 0 || end > NUMBER_LONGEST)
        return 0;
    memcpy(copy, text, end);
    copy[end] = '\0';
    letters = end;
    while (letters < length &&
           (isalpha((unsigned char)text[letters]) || (text[letters] & 0x80) != 0))
        letters++;
    if (letters < length && letters > end && isdigit((unsigned char)text[letters]))
        return 0;
    *value = strtod(copy, NULL) * scale_of(text + end, letters - end);
    return letters;
}

static bool push_value(struct machine *machine, double value)
{
    if (machine->value_count == STACK_LARGEST)
        return fail(machine, "is nested too deep to be worked out", machine->at, 0);
    machine->values[machine->value_count++] = value;
    return true;
}

static bool push_operation(struct machine *machine, char sign, const struct function *function)
{
    if (machine->operation_count == STACK_LARGEST)
        return fail(machine, "is nested too deep to be worked out", machine->at, 0);
    machine->operations[machine->operation_count++] =
        (struct operation){.sign = sign, .function = function};
    return true;
}

static int precedence(char sign)
{
    return sign == '^' ? 4 : sign == '~' ? 3 : sign == '*' || sign == '/' ? 2 : sign == '(' ? 0 : 1;
}

static double combine(char sign, double a, double b)
{
    switch (sign) {
    case '+':
        return a + b;
    case '-':
        return a - b;
    case '*':
        return a * b;
    case '/':
        return b == 0 ? NAN : a / b;
    default:
        return pow(a, b);
    }
}

/* Carries out the operation on top of the stack. */
static void reduce(struct machine *machine)
{
    char sign = machine->operations[--machine->operation_count].sign;
    double *top = &machine->values[machine->value_count - 1];

    if (sign == '~') {
        *top = -*top;
        return;
    }
    top[-1] = combine(sign, top[-1], *top);
    machine->value_count--;
}

/* Carries out what binds at least as tightly as SIGN; ** takes its right side first. */
static void reduce_above(struct machine *machine, char sign)
{
    while (machine->operation_count > 0) {
        char top = machine->operations[machine->operation_count - 1].sign;

        if (top == '(' || precedence(top) < precedence(sign) || (top == '^' && sign == '^'))
            return;
        reduce(machine);
    }
}

static const struct function *find_function(const char *name, size_t length)
{
    for (size_t i = 0; i < FUNCTION_COUNT; i++)
        if (strlen(functions[i].name) == length &&
            strncasecmp(functions[i].name, name, length) == 0)
            return &functions[i];
    return NULL;
}

static bool is_name_byte(char c)
{
    return isalnum((unsigned char)c) || c == '_' || c == '.' || c == '#' || (c & 0x80) != 0;
}

static void skip_blanks(struct machine *machine)
{
    while (machine->at < machine->length && spice_is_blank(machine->text[machine->at]))
        machine->at++;
}

/* A name at AT: a function and its parenthesis, or a parameter. *OPERAND: a value was pushed. */
static bool take_name(struct machine *machine, bool *operand)
{
    size_t start = machine->at, length;
    const struct function *function;
    double value;

    while (machine->at < machine->length && is_name_byte(machine->text[machine->at]))
        machine->at++;
    length = machine->at - start;
    skip_blanks(machine);
    if (machine->at < machine->length && machine->text[machine->at] == '(') {
        function = find_function(machine->text + start, length);
        machine->at++;
        return function != NULL ? push_operation(machine, '(', function)
                                : fail(machine, "is not a known function", start, length);
    }
    *operand = true;
    if (machine->names != NULL &&
        machine->names->find(machine->names->context, machine->text + start, length, &value))
        return push_value(machine, value);
    if (length == 2 && strncasecmp(machine->text + start, "pi", 2) == 0)
        return push_value(machine, 3.14159265358979323846);
    return fail(machine, "has no value", start, length);
}

static bool take_number(struct machine *machine)
{
    double value;
    size_t length =
        spice_number(machine->text + machine->at, machine->length - machine->at, &value);

    if (length == 0)
        return fail(machine, "is not a number", machine->at, machine->length - machine->at);
    machine->at += length;
    return push_value(machine, value);
}

/* What may stand where a value is due. */
static bool take_operand(struct machine *machine, bool *operand)
{
    char c = machine->text[machine->at];

    if (isdigit((unsigned char)c) || c == '.') {
        *operand = true;
        return take_number(machine);
    }
    if (is_name_byte(c))
        return take_name(machine, operand);
    machine->at++;
    if (c == '+')
        return true;
    if (c == '-')
        return push_operation(machine, '~', NULL);
    if (c == '(' || c == '{')
        return push_operation(machine, '(', NULL);
    return fail(machine, "cannot be read here", machine->at - 1, 1);
}

/* Carries out everything back to the open parenthesis; false if there is none. */
static bool back_to_parenthesis(struct machine *machine)
{
    reduce_above(machine, '+');
    return machine->operation_count > 0;
}

static bool close_parenthesis(struct machine *machine)
{
    struct operation open;
    double *top;

    if (!back_to_parenthesis(machine))
        return fail(machine, "closes nothing", machine->at, 1);
    open = machine->operations[--machine->operation_count];
    if (open.commas + 1 != (open.function != NULL ? open.function->arguments : 1))
        return fail(machine, "closes the wrong number of values", machine->at, 1);
    top = &machine->values[machine->value_count - 1];
    if (open.function != NULL && open.function->arguments == 2) {
        top[-1] = open.function->of_two(top[-1], *top);
        machine->value_count--;
    } else if (open.function != NULL) {
        *top = open.function->of_one(*top);
    }
    machine->at++;
    return true;
}

static bool take_comma(struct machine *machine)
{
    if (!back_to_parenthesis(machine))
        return fail(machine, "cannot be read here", machine->at, 1);
    machine->operations[machine->operation_count - 1].commas++;
    machine->at++;
    return true;
}

/* What may stand after a value. */
static bool take_operator(struct machine *machine, bool *operand)
{
    char c = machine->text[machine->at];

    if (c == ')' || c == '}')
        return close_parenthesis(machine);
    *operand = false;
    if (c == ',')
        return take_comma(machine);
    if (c == '*' && machine->at + 1 < machine->length && machine->text[machine->at + 1] == '*') {
        machine->at++;
        c = '^';
    } else if (c != '+' && c != '-' && c != '*' && c != '/') {
        return fail(machine, "cannot be read here", machine->at, 1);
    }
    machine->at++;
    reduce_above(machine, c);
    return push_operation(machine, c, NULL);
}

static bool finish(struct machine *machine, bool operand, double *value)
{
    if (!operand)
        return fail(machine, "ends where a value is due", machine->length, 0);
    if (back_to_parenthesis(machine))
        return fail(machine, "has a parenthesis that is never closed", machine->length, 0);
    if (!isfinite(machine->values[0]))
        return fail(machine, "has no finite value", 0, machine->length);
    *value = machine->values[0];
    return true;
}

bool spice_evaluate(const char *text, size_t length, const struct spice_names *names, double *value,
                    struct spice_failure *failure)
{
    struct machine machine = {.text = text, .length = length, .names = names, .failure = failure};
    bool operand = false; /* the last thing read was a value */

    skip_blanks(&machine);
    while (machine.at < machine.length) {
        if (!(operand ? take_operator(&machine, &operand) : take_operand(&machine, &operand)))
            return false;
        skip_blanks(&machine);
    }
    return finish(&machine, operand, value);
}
