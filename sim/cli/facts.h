// SPDX-License-Identifier: MIT
/// A list of facts about a design, built once and printed as text or as JSON.
#ifndef CLI_FACTS_H
#define CLI_FACTS_H

#include "cli/options.h"
#include "coilbed/units.h"
#include "findings/json_writer.h"

#include <stdbool.h>
#include <stdio.h>

enum { CLI_KEY_SIZE = 64, CLI_LABEL_SIZE = 64, CLI_SHOWN_SIZE = 512, CLI_NOTE_SIZE = 512 };

typedef struct cli_fact {
    const char *section;        ///< heading it stands under (first letter raised); JSON object
    char key[CLI_KEY_SIZE];     ///< for machines
    char label[CLI_LABEL_SIZE]; ///< for people; "" for a paragraph of its own
    bool has_value;             ///< false: `shown` is all there is
    double value;               ///< SI
    const char *unit;           ///< of value
    char shown[CLI_SHOWN_SIZE]; ///< as printed, in the user's units
    char note[CLI_NOTE_SIZE];   ///< where it comes from, what to compare it with; or ""
} cli_fact;

typedef struct cli_facts {
    cli_fact *fact;
    size_t count, room;
    cb_unit_system system;
    const char *section; ///< of the facts added from now on; static text
    bool failed;         ///< memory ran out; facts are missing
} cli_facts;

/// Each adds one fact and returns it, or NULL once memory has run out.
cli_fact *cli_fact_quantity(cli_facts *facts, const char *key, const char *label, cb_kind kind,
                            double si);
/// A value whose printed form is given: ratios and trade units. unit: of `si`, static text.
cli_fact *cli_fact_value(cli_facts *facts, const char *key, const char *label, double si,
                         const char *unit, const char *format, ...)
    __attribute__((format(printf, 6, 7)));
cli_fact *cli_fact_text(cli_facts *facts, const char *key, const char *label, const char *format,
                        ...) __attribute__((format(printf, 4, 5)));

/// Sets the note of a fact (nothing happens to NULL).
void cli_fact_note(cli_fact *fact, const char *format, ...) __attribute__((format(printf, 2, 3)));

void cli_facts_print(const cli_facts *facts, int width, FILE *stream);
/// {"program": …, "file": …, "verdict": "valid", "exit_status": 0, …, "section": {"key": {"value":
/// …, "unit": …, "text": …, "note": …}, …}, …}
void cli_facts_json(const cli_facts *facts, const char *file, FILE *stream);
/// The same in two parts, for a document that holds more: the caller closes it with '}'.
void cli_facts_json_head(cbx_json *json, const char *file);
void cli_facts_json_sections(const cli_facts *facts, cbx_json *json);
void cli_facts_free(cli_facts *facts);

/// Tells all, as one JSON object or in print under "path: heading", or that memory ran out; frees
/// the facts. Returns the exit status.
int cli_facts_tell(cli_facts *facts, const cli_options *options, const char *path,
                   const char *heading);

#endif
