#include "fuselink/gates_table.h"

/* Times in seconds. Nobody read IEC 60127-2 itself for this: each row is what the makers named
 * say that their links meet, two makers agreeing where two are named. Order within a gate:
 * multiple of the rated current, must hold, must be open. */

#define MINUTES 60.0

#define EATON_S501 "Eaton/Bussmann S501 series data sheet"
#define S501_216SP "Eaton/Bussmann S501 and Littelfuse 216SP series data sheets"
#define S500 "Eaton/Bussmann S500 series data sheets"
#define S500_617 "Eaton/Bussmann S500 and Littelfuse 617 series data sheets"
#define L218_213_BEL "Littelfuse 218 and 213, Bel 5ST series data sheets"
#define L218_213_618 "Littelfuse 218, 213 and 618 series data sheets"
#define L215_S505_477 "Littelfuse 215 and 477, Eaton/Bussmann S505 series data sheets"
#define BEL_5ET                                                                                    \
    "Bel 5ET series data sheet, the 2.75 In minimum of which is damaged; 600 ms from memory"
#define UL_GUIDE "Littelfuse fuseology selection guide, p. 12; adiabatic beyond 200 %"
#define UL_SLOW_MAKERS                                                                             \
    "Littelfuse fuseology selection guide, p. 12; 5 s at 200 %: Littelfuse 313, 239 and "          \
    "Bussmann GMD data sheets; adiabatic beyond 200 %"
#define WORST "the worst, gate by gate, of the sheets named, each from its makers' data sheets"

#define SHEET(n) "IEC 60127-2 sheet " #n

/* Bel's 5HT sheet (1998, 2003) has 100 ms where sheet 5 says 150 ms at 10 In: three other makers'
 * sheets agree on 150. Sheet 1's gate at 1.5 In was seen in one maker's sheet only (Eaton S501). */
const struct gates_row gates_table[] = {
    {GATES_SHEET_1,
     {SHEET(1), S501_216SP, 0.050, 4,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 2}, {4, 0.003, 0.3},
       {10, 0, 0.020}}, 5}},
    {GATES_SHEET_1,
     {SHEET(1), S501_216SP, 5, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 3}, {4, 0.003, 0.3},
       {10, 0, 0.020}}, 5}},
    {GATES_SHEET_1,
     {SHEET(1), S501_216SP, 8, 10,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.040, 20}, {4, 0.010, 1},
       {10, 0, 0.030}}, 5}},

    {GATES_SHEET_2,
     {SHEET(2), S500, 0.032, 0.100,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 0.5}, {4, 0.003, 0.1},
       {10, 0, 0.020}}, 5}},
    {GATES_SHEET_2,
     {SHEET(2), S500_617, 0.125, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.050, 2}, {4, 0.010, 0.3},
       {10, 0, 0.020}}, 5}},
    {GATES_SHEET_2,
     {SHEET(2), S500_617, 8, 10,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.050, 2}, {4, 0.010, 0.4},
       {10, 0, 0.040}}, 5}},

    {GATES_SHEET_3,
     {SHEET(3), L218_213_BEL, 0.032, 0.100,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 2 * MINUTES}, {2.75, 0.200, 10}, {4, 0.040, 3},
       {10, 0.010, 0.3}}, 5}},
    {GATES_SHEET_3,
     {SHEET(3), L218_213_BEL, 0.125, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 2 * MINUTES}, {2.75, 0.600, 10}, {4, 0.150, 3},
       {10, 0.020, 0.3}}, 5}},
    {GATES_SHEET_3, /* makers go on to 16 A */
     {SHEET(3), L218_213_618, 8, 16,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 2 * MINUTES}, {2.75, 0.600, 10}, {4, 0.150, 3},
       {10, 0.020, 0.3}}, 5}},

    {GATES_SHEET_5, /* the sheet starts at 1 A, makers at 125 mA */
     {SHEET(5), L215_S505_477, 0.125, 0.800,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.250, 80}, {4, 0.050, 5},
       {10, 0.005, 0.15}}, 5}},
    {GATES_SHEET_5,
     {SHEET(5), L215_S505_477, 1, 3.15,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.750, 80}, {4, 0.095, 5},
       {10, 0.010, 0.15}}, 5}},
    {GATES_SHEET_5,
     {SHEET(5), L215_S505_477, 4, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.750, 80}, {4, 0.150, 5},
       {10, 0.010, 0.15}}, 5}},
    {GATES_SHEET_5, /* makers go on to 20 A */
     {SHEET(5), L215_S505_477, 8, 20,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.750, 80}, {4, 0.150, 5},
       {10, 0.010, 0.15}}, 5}},

    {GATES_SHEET_6,
     {SHEET(6), BEL_5ET, 1, 12,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 2 * MINUTES}, {2.75, 0.600, 10}, {4, 0.150, 3},
       {10, 0.020, 0.3}}, 5}},

    {GATES_UL_SLOW,
     {"UL 248-14, time-delay", UL_SLOW_MAKERS, 0.001, 30,
      {{1, 240 * MINUTES, 0}, {1.35, 0, 60 * MINUTES}, {2, 5, 2 * MINUTES}, {10, 0, 4.8}}, 4}},
    {GATES_UL_OTHER,
     {"UL 248-14", UL_GUIDE, 0.001, 30,
      {{1, 240 * MINUTES, 0}, {1.35, 0, 60 * MINUTES}, {2, 0, 2 * MINUTES}, {10, 0, 4.8}}, 4}},
    {GATES_UL_OTHER,
     {"UL 248-14", UL_GUIDE, 35, 60,
      {{1, 240 * MINUTES, 0}, {1.35, 0, 60 * MINUTES}, {2, 0, 4 * MINUTES}, {10, 0, 9.6}}, 4}},

    {GATES_F,
     {"IEC 60127-2 sheets 1 and 2", WORST, 0.032, 4,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 2}, {4, 0.003, 0.3},
       {10, 0, 0.020}}, 5}},
    {GATES_F,
     {"IEC 60127-2 sheets 1 and 2", WORST, 5, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 3}, {4, 0.003, 0.3},
       {10, 0, 0.020}}, 5}},
    {GATES_F,
     {"IEC 60127-2 sheets 1 and 2", WORST, 8, 10,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.040, 20}, {4, 0.010, 1},
       {10, 0, 0.040}}, 5}},

    {GATES_T, /* no link to sheet 5 or 6 so small was seen */
     {"IEC 60127-2 sheet 3", L218_213_BEL, 0.032, 0.100,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 2 * MINUTES}, {2.75, 0.200, 10}, {4, 0.040, 3},
       {10, 0.010, 0.3}}, 5}},
    {GATES_T,
     {"IEC 60127-2 sheets 3 and 5", WORST, 0.125, 0.800,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.250, 80}, {4, 0.050, 5},
       {10, 0.005, 0.3}}, 5}},
    {GATES_T,
     {"IEC 60127-2 sheets 3, 5 and 6", WORST, 1, 3.15,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.600, 80}, {4, 0.095, 5},
       {10, 0.010, 0.3}}, 5}},
    {GATES_T,
     {"IEC 60127-2 sheets 3, 5 and 6", WORST, 4, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.600, 80}, {4, 0.150, 5},
       {10, 0.010, 0.3}}, 5}},
    {GATES_T,
     {"IEC 60127-2 sheets 3, 5 and 6", WORST, 8, 20,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.600, 80}, {4, 0.150, 5},
       {10, 0.010, 0.3}}, 5}},

    {GATES_L,
     {"IEC 60127-2 sheets 2 and 3", WORST, 0.032, 0.100,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 10}, {4, 0.003, 3},
       {10, 0, 0.3}}, 5}},
    {GATES_L,
     {"IEC 60127-2 sheets 2 and 3", WORST, 0.125, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.050, 10}, {4, 0.010, 3},
       {10, 0, 0.3}}, 5}},
    {GATES_L,
     {"IEC 60127-2 sheets 2 and 3", WORST, 8, 16,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.050, 10}, {4, 0.010, 3},
       {10, 0, 0.3}}, 5}},

    {GATES_IEC,
     {"IEC 60127-2 sheets 1, 2 and 3", WORST, 0.032, 0.100,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 10}, {4, 0.003, 3},
       {10, 0, 0.3}}, 5}},
    {GATES_IEC,
     {"IEC 60127-2 sheets 1, 2, 3, 5 and 6", WORST, 0.125, 6.3,
      {{1.5, 60 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.010, 80}, {4, 0.003, 5},
       {10, 0, 0.3}}, 5}},
    {GATES_IEC,
     {"IEC 60127-2 sheets 1, 2, 3, 5 and 6", WORST, 8, 20,
      {{1.5, 30 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0.040, 80}, {4, 0.010, 5},
       {10, 0, 0.3}}, 5}},

    {GATES_SLOW,
     {"IEC 60127-2 sheets 3, 5 and 6 or UL 248-14", WORST, 0.001, 30,
      {{1, 240 * MINUTES, 0}, {2, 5, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0, 80}, {4, 0, 30},
       {10, 0, 4.8}}, 6}},
    {GATES_ANY,
     {"IEC 60127-2 or UL 248-14", WORST, 0.001, 30,
      {{1, 240 * MINUTES, 0}, {2.1, 0, 30 * MINUTES}, {2.75, 0, 80}, {4, 0, 30}, {10, 0, 4.8}}, 5}},

    {GATES_FF,
     {"no sheet for FF; IEC 60127-2 sheets 1 and 2 for opening", WORST, 0.032, 4,
      {{2.1, 0, 30 * MINUTES}, {2.75, 0, 2}, {4, 0, 0.3}, {10, 0, 0.020}}, 4}},
    {GATES_FF,
     {"no sheet for FF; IEC 60127-2 sheets 1 and 2 for opening", WORST, 5, 10,
      {{2.1, 0, 30 * MINUTES}, {2.75, 0, 20}, {4, 0, 1}, {10, 0, 0.040}}, 4}},
    {GATES_TT,
     {"no sheet for TT; IEC 60127-2 sheets 3, 5 and 6 for holding", WORST, 0.032, 20,
      {{1.5, 30 * MINUTES, 0}, {2.75, 0.200, 0}, {4, 0.040, 0}, {10, 0.005, 0}}, 4}},

    {GATES_NONE, {"none", "no sheet covers the rating", 0, 1e9, {{0, 0, 0}}, 0}},
};

const size_t gates_table_count = sizeof gates_table / sizeof gates_table[0];
