// SPDX-License-Identifier: MIT
// Whatever text comes in, it comes out as text.
#include "report/html.h"

#include "report/pack.h"

#include <math.h>
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>
#include <stdlib.h>
#include <string.h>

#include <cmocka.h>

static char *text;
static size_t size;

static FILE *open_page(void)
{
    return open_memstream(&text, &size);
}

static void expect(FILE *page, const char *wanted)
{
    fclose(page);
    if (strcmp(text, wanted) != 0) {
        fail_msg("got  %s\nwant %s", text, wanted);
    }
    free(text);
    text = NULL;
}

static void text_is_escaped(void **state)
{
    (void)state;
    static const struct {
        const char *in, *out;
    } row[] = {
        {"a < b & c > d", "a &lt; b &amp; c &gt; d"},
        {"<script>alert('x')</script>", "&lt;script&gt;alert(&#39;x&#39;)&lt;/script&gt;"},
        {"say \"hello\"", "say &quot;hello&quot;"},
        {"\xF0\x9F\x94\xA5 ok", "\xF0\x9F\x94\xA5 ok"},
        {"bad \xFF\xC0\xAF end", "bad \xEF\xBF\xBD\xEF\xBF\xBD\xEF\xBF\xBD end"},
        {"cut \xF0\x9F", "cut \xEF\xBF\xBD\xEF\xBF\xBD"},
        {"bell \a, del \x7f", "bell \xEF\xBF\xBD, del \xEF\xBF\xBD"},
        {"two\nlines\tand a tab", "two\nlines\tand a tab"},
        {"", ""},
        // units as print spells them, kept with their number
        {"29.3 degF above", "29.3\xC2\xA0°F above"},
        {"-1.5 degC.", "-1.5\xC2\xA0°C."},
        {"'10 delta_degF'", "&#39;10\xC2\xA0°F&#39;"},
        {"47 deg", "47\xC2\xA0°"},
        {"degrees of degradation", "degrees of degradation"},
        {"coldegF xdegC degC_2", "coldegF xdegC degC_2"},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        FILE *page = open_page();
        cbx_html_text(page, row[i].in);
        expect(page, row[i].out);
    }
}

static void quantities_stand_in_both_systems(void **state)
{
    (void)state;
    FILE *page = open_page();
    cbx_html_quantity(page, CB_TEMPERATURE, -1.5);
    expect(page,
           "<span class=\"us\">29.3\xC2\xA0°F</span><span class=\"si\">-1.5\xC2\xA0°C</span>");
    page = open_page();
    cbx_html_quantity(page, CB_TEMPERATURE, NAN);
    expect(page, "–");
    page = open_page();
    cbx_html_number(page, CB_NUMBER, 2, -0.001); // one text for both, no minus before a zero
    expect(page, "0.00");
}

static void arrays_pack_as_base64(void **state)
{
    (void)state;
    static const struct {
        size_t count;
        const char *bytes, *want;
    } row[] = {
        // RFC 4648, section 10
        {0, "", "\"\""},        {1, "f", "\"Zg==\""},        {2, "fo", "\"Zm8=\""},
        {3, "foo", "\"Zm9v\""}, {4, "foob", "\"Zm9vYg==\""}, {6, "foobar", "\"Zm9vYmFy\""},
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        cbx_json json = {.stream = open_page()};
        cbx_pack_bytes(&json, NULL, (const uint8_t *)row[i].bytes, row[i].count);
        expect(json.stream, row[i].want);
    }
}

static void values_pack_in_steps(void **state)
{
    (void)state;
    // 258 = 0x0102; -1 = 0xFFFF; missing = 0x8000, low byte first
    const double value[] = {2.58, -0.01, NAN, 1e9};
    cbx_json json = {.stream = open_page()};
    assert_true(cbx_pack_values(&json, NULL, value, 4, 0.01));
    expect(json.stream, "\"AgH//wCAAIA=\"");
}

int main(void)
{
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(text_is_escaped),
        cmocka_unit_test(quantities_stand_in_both_systems),
        cmocka_unit_test(arrays_pack_as_base64),
        cmocka_unit_test(values_pack_in_steps),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
