// SPDX-License-Identifier: MIT
// Tables of years and months: what the figures beside them show.
#include "report/fill.h"
#include "report/html.h"

#include <math.h>
#include <string.h>

void cbx_table_open(FILE *page, const char *caption, const char *head)
{
    fprintf(page,
            "<div class=\"scroll\" tabindex=\"0\" role=\"region\" aria-label=\"%s\"><table>"
            "<caption>%s</caption>\n<thead><tr>",
            caption, caption);
    for (;;) {
        const size_t length = strcspn(head, "|");
        fprintf(page, "<th scope=\"col\">%.*s</th>", (int)length, head);
        if (!head[length]) {
            break;
        }
        head += length + 1;
    }
    fputs("</tr></thead>\n<tbody>\n", page);
}

void cbx_table_close(FILE *page)
{
    fputs("</tbody></table></div>\n", page);
}

// ---- years -----------------------------------------------------------------------------------

static void put_extreme(const cbx_fill *fill, const cbx_extreme *extreme)
{
    fputs("<td class=\"n\">", fill->page);
    if (extreme->run_hour < 0) {
        fputs("–", fill->page);
    } else {
        cbx_html_quantity(fill->page, CB_TEMPERATURE, extreme->value);
        const cbx_text when = cbx_when(fill->run->design, extreme->run_hour);
        const char *comma = strchr(when.text, ','); // the row names the year
        fputs("<br><small>", fill->page);
        cbx_html_text(fill->page, comma ? comma + 2 : when.text);
        fputs("</small>", fill->page);
    }
    fputs("</td>", fill->page);
}

static const char *about_year(const cbx_summary *summary, int y)
{
    if (y >= summary->whole_years) {
        return "not whole";
    }
    if (summary->hard_winter[y]) {
        return summary->hot_summer[y] ? "hard winter and hot summer" : "hard winter";
    }
    return summary->hot_summer[y] ? "hot summer" : "typical weather";
}

void cbx_fill_years(cbx_fill *fill)
{
    const cbx_summary *summary = cbx_report_summary(fill->run);
    cbx_table_open(fill->page, "Extremes of each year of the run",
                   "Year|Weather|Coldest fluid|Lowest entering water|Highest entering water");
    for (int y = 0; y < summary->years; y++) {
        fprintf(fill->page, "<tr><th scope=\"row\">%d</th><td>%s</td>", y + 1,
                about_year(summary, y));
        put_extreme(fill, &summary->year[y].coldest);
        put_extreme(fill, &summary->year[y].entering_low);
        put_extreme(fill, &summary->year[y].entering_high);
        fputs("</tr>\n", fill->page);
    }
    cbx_table_close(fill->page);
}

// ---- energy ----------------------------------------------------------------------------------

static void put_number(FILE *page, cb_kind kind, int decimals, double si)
{
    fputs("<td class=\"n\">", page);
    cbx_html_number(page, kind, decimals, si);
    fputs("</td>", page);
}

static void put_energy_row(FILE *page, const char *name, double heating_j, double cooling_j)
{
    fprintf(page, "<tr><th scope=\"row\">%s</th>", name);
    const double joule[] = {heating_j, cooling_j};
    for (size_t i = 0; i < 2; i++) {
        fputs("<td class=\"n\">", page);
        cbx_html_quantity(page, CB_ENERGY, joule[i]);
        fputs("</td>", page);
    }
    fputs("</tr>\n", page);
}

void cbx_fill_energy(cbx_fill *fill)
{
    const cbx_summary *summary = cbx_report_summary(fill->run);
    const cbx_period total = cbx_summary_total(summary);
    const double years = cbx_summary_average_years(summary);
    const cbx_mode *warm = &total.heating, *cool = &total.cooling;
    FILE *page = fill->page;
    if (summary->whole_years > 0) {
        cbx_table_open(page, "An average year", "Energy|Heating|Cooling");
    } else {
        cbx_table_open(page, "The days computed (no whole year)", "Energy|Heating|Cooling");
    }
    put_energy_row(page, "The house asks for", warm->load_j / years, cool->load_j / years);
    put_energy_row(page, "The heat pump delivers", warm->output_j / years, cool->output_j / years);
    put_energy_row(page, "The compressor takes", warm->compressor_j / years,
                   cool->compressor_j / years);
    if (warm->fan_j + cool->fan_j > 0.0) {
        put_energy_row(page, "The fans take", warm->fan_j / years, cool->fan_j / years);
    }
    put_energy_row(page, "The circulators take", warm->pump_j / years, cool->pump_j / years);
    put_energy_row(page, "Backup heat", total.backup_j / years, (double)NAN);
    if (total.hot_water_j + total.element_j > 0.0) {
        put_energy_row(page, "Hot water by the unit", warm->into_tank_j / years,
                       cool->into_tank_j / years);
        put_energy_row(page, "Hot water by the element", total.element_j / years, (double)NAN);
    }
    fputs("<tr><th scope=\"row\">Seasonal COP, with circulators</th>", page);
    put_number(page, CB_NUMBER, 2, cbx_heating_performance(&total));
    put_number(page, CB_NUMBER, 2, cbx_cooling_performance(&total));
    fputs("</tr>\n", page);
    cbx_table_close(page);
}

void cbx_fill_cops(cbx_fill *fill)
{
    const cbx_summary *summary = cbx_report_summary(fill->run);
    FILE *page = fill->page;
    cbx_table_open(page, "Seasonal COP and backup by year",
                   "Year|COP heating|COP cooling|Backup, hours|Backup, energy");
    for (int y = 0; y < summary->years; y++) {
        const cbx_period *year = &summary->year[y];
        fprintf(page, "<tr><th scope=\"row\">%d%s</th>", y + 1,
                y < summary->whole_years ? "" : " (not whole)");
        put_number(page, CB_NUMBER, 2, cbx_heating_performance(year));
        put_number(page, CB_NUMBER, 2, cbx_cooling_performance(year));
        put_number(page, CB_NUMBER, 0, (double)year->backup_hours);
        fputs("<td class=\"n\">", page);
        cbx_html_quantity(page, CB_ENERGY, year->backup_j);
        fputs("</td></tr>\n", page);
    }
    cbx_table_close(page);
}

static void put_month(void *context, const cbx_month *month)
{
    static const char *const name[] = {"January",   "February", "March",    "April",
                                       "May",       "June",     "July",     "August",
                                       "September", "October",  "November", "December"};
    FILE *page = context;
    const double joule[] = {month->heating_compressor_j,
                            month->cooling_compressor_j,
                            month->fan_j,
                            month->pump_j,
                            month->backup_j,
                            month->element_j,
                            month->from_ground_j,
                            month->to_ground_j};
    fprintf(page, "<tr><th scope=\"row\">Year %d, %s%s</th>", month->run_year,
            name[month->month - 1], month->hours < 28L * 24 ? " (part)" : "");
    for (size_t i = 0; i < sizeof joule / sizeof *joule; i++) {
        put_number(page, CB_ENERGY, 0, joule[i]);
    }
    fputs("</tr>\n", page);
}

void cbx_fill_months(cbx_fill *fill)
{
    FILE *page = fill->page;
    cbx_table_open(page, "Every month of the run",
                   "Month|Compressor, heating|Compressor, cooling|Fans|Circulators|Backup heat|"
                   "Hot water element|"
                   "Heat from the ground|Heat into the ground");
    cbx_months(fill->run->data, &fill->run->design->run, put_month, page);
    cbx_table_close(page);
    fputs("<p class=\"unit\">Energies in ", page);
    cbx_html_unit(page, CB_ENERGY);
    fputs(".</p>\n", page);
}
