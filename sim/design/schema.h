// SPDX-License-Identifier: MIT
/// The one table of everything a design file may say. Reading, checking of ranges, defaults, --set
/// paths, echo, assumptions, the JSON Schema and the reference all walk it.
#ifndef COILBED_DESIGN_SCHEMA_H
#define COILBED_DESIGN_SCHEMA_H

#include "coilbed/design.h"

typedef enum cbx_type {
    CBX_QUANTITY, ///< double; text with a unit
    CBX_WHOLE,    ///< int (or unsigned); a count, or a quantity of whole `per`s
    CBX_TEXT,     ///< const char *
    CBX_FILE,     ///< const char *; resolved against the design's folder
    CBX_WORD,     ///< const char *; one of the choices
    CBX_CHOICE,   ///< enum; number of the choice
    CBX_SWITCH,   ///< bool; second choice is true
    CBX_DATE,     ///< two ints (offset, offset_2): month and day, "07-01"
    CBX_VALUES,   ///< array of double; a list of quantities
    CBX_BLOCK,    ///< keys of its own (rows)
    CBX_LIST,     ///< array of structs; a list of blocks (rows)
    CBX_NORMALS,  ///< cb_normals; a climate file, or its keys in place (rows)
    CBX_VERSION   ///< not stored; the format's number
} cbx_type;

/// One key. Offsets count from the struct of the enclosing rows.
typedef struct cbx_row {
    const char *name;
    cbx_type type;
    cb_kind kind;               ///< of a quantity
    size_t offset;              ///< of the value; for a block: of the struct its rows count from
    size_t offset_2;            ///< CBX_DATE: of the day; with `counted`: of the list's length
    size_t flag;                ///< with `flagged`: of a bool that tells whether the key was given
    size_t stride;              ///< size of one element of a CBX_LIST
    double per;                 ///< stored value = SI value / per; 0 means 1
    double minimum, maximum;    ///< in stored units, inclusive
    const char *const *choices; ///< NULL-terminated
    const char *word;           ///< CBX_WHOLE: a word accepted in place of a number ...
    const struct cbx_row *rows; ///< of a block or list
    bool (*applies)(const void *base); ///< NULL: always. Absent keys that do not apply are skipped.
    const char *standard;              ///< default, as it would stand in the file
    const char *reason; ///< of the default; without `standard` the value is worked out later, and
                        ///< without either it may stay unsaid
    const char *help;
    const char *otherwise; ///< said to who writes what is not such a value; NULL: nothing
    int word_value;        ///< ... and what it stores
    int first;       ///< CBX_CHOICE: number of the first choice; above 0, 0 stands for nothing said
    int least, most; ///< length of a list
    bool required, counted, flagged;
    bool optional_block; ///< its rows count only when the block is given
} cbx_row;

/// Tables of rows end with a row without a name.
extern const cbx_row cbx_design_rows[];  ///< a whole design file; offsets into cb_design
extern const cbx_row cbx_climate_rows[]; ///< a climate file; offsets into cb_normals

/// The larger blocks, each in its own file.
extern const cbx_row cbx_weather_rows[];
extern const cbx_row cbx_ground_rows[];
extern const cbx_row cbx_field_rows[];
extern const cbx_row cbx_pump_rows[];
extern const cbx_row cbx_piping_rows[];
extern const cbx_row cbx_heat_pump_rows[];
extern const cbx_row cbx_hot_water_rows[];
extern const cbx_row cbx_house_rows[];
extern const cbx_row cbx_envelope_rows[];

/// Said to who looks for a second field.
#define CBX_ONE_FIELD                                                                              \
    "; all units of a design work on its one field: where units have fields of their own, write "  \
    "a design for each field with its units, and in house.share their share of the loads"

#endif
