// SPDX-License-Identifier: MIT
#include "design/tree.h"

#include <libfyaml.h>
#include <stdarg.h>
#include <stdio.h>
#include <string.h>

// Aliases are followed where they stand, so a small file could otherwise unfold without end.
enum { MOST_NODES = 100000, MOST_DEPTH = 24 };

cbx_node *cbx_child(const cbx_node *mapping, const char *key)
{
    for (cbx_node *at = mapping->first; at; at = at->next) {
        if (at->key && strcmp(at->key, key) == 0) {
            return at;
        }
    }
    return NULL;
}

int cbx_child_count(const cbx_node *node)
{
    int count = 0;
    for (const cbx_node *at = node->first; at; at = at->next) {
        count++;
    }
    return count;
}

bool cbx_is_blank(const cbx_node *node)
{
    return node->shape == CBX_SCALAR && !node->text;
}

cb_status cbx_fail_node(const cbx_node *node, cbx_spot spot, cb_error *error, const char *format,
                        ...)
{
    char message[CB_MESSAGE_SIZE];
    va_list arguments;
    va_start(arguments, format);
    vsnprintf(message, sizeof message, format, arguments);
    va_end(arguments);
    if (node->from->set) {
        return cb_fail(error, CB_BAD_INPUT, "%s: %s", node->from->set, message);
    }
    const bool at_key = node->key_line && (spot == CBX_AT_KEY || !node->line);
    return cb_fail_at(error, CB_BAD_INPUT, node->from->file, at_key ? node->key_line : node->line,
                      at_key ? node->key_column : node->column, "%s", message);
}

// ---- text that is not YAML at all ------------------------------------------------------------

// Bytes of the UTF-8 sequence at `at`; 0 if it is not one.
static size_t utf8_length(const unsigned char *at)
{
    const size_t length = at[0] < 0x80 ? 1 : at[0] >= 0xf0 ? 4 : at[0] >= 0xe0 ? 3 : 2;
    if (at[0] >= 0xf5 || (at[0] >= 0x80 && at[0] < 0xc2)) {
        return 0;
    }
    for (size_t i = 1; i < length; i++) {
        if ((at[i] & 0xc0) != 0x80) {
            return 0;
        }
    }
    return length;
}

static cb_status fail_text(const cbx_text *from, int line, int column, cb_error *error,
                           const char *message)
{
    if (from->set) {
        return cb_fail(error, CB_BAD_INPUT, "%s: %s", from->set, message);
    }
    return cb_fail_at(error, CB_BAD_INPUT, from->file, line, column, "%s", message);
}

// libfyaml takes bytes that are not UTF-8 for the end of the text.
static cb_status check_utf8(const char *text, const cbx_text *from, cb_error *error)
{
    int line = 1, column = 1;
    for (const unsigned char *at = (const unsigned char *)text; *at;) {
        const size_t length = utf8_length(at);
        if (length == 0) {
            return fail_text(from, line, column, error, "a byte here is not UTF-8 text");
        }
        column = *at == '\n' ? 1 : column + 1;
        line += *at == '\n';
        at += length;
    }
    return CB_OK;
}

// ---- from libfyaml's tree to ours ------------------------------------------------------------

typedef struct converter {
    cb_design_memory *memory;
    const cbx_text *from;
    cb_error *error;
    int nodes;
} converter;

static cb_status no_memory(cb_error *error)
{
    return cb_fail(error, CB_NO_MEMORY, "no memory for the design");
}

static void place_of(struct fy_node *node, int *line, int *column)
{
    struct fy_token *token =
        node && fy_node_is_scalar(node) ? fy_node_get_scalar_token(node) : NULL;
    const struct fy_mark *mark = token ? fy_token_start_mark(token) : NULL;
    if (mark) {
        *line = mark->line + 1;
        *column = mark->column + 1;
    }
}

static cb_status fill(converter *c, cbx_node *out, struct fy_node *node, int depth);

static cbx_node *new_node(converter *c)
{
    cbx_node *made = cbx_allocate(c->memory, sizeof *made);
    if (made) {
        made->from = c->from;
    }
    return made;
}

static cb_status fill_scalar(converter *c, cbx_node *out, struct fy_node *node)
{
    size_t length = 0;
    const char *text = fy_node_get_scalar(node, &length);
    const bool plain = fy_node_get_style(node) == FYNS_PLAIN || fy_node_get_style(node) == FYNS_ANY;
    out->shape = CBX_SCALAR;
    if (!text || (plain && length == 0)) {
        return CB_OK;
    }
    if (memchr(text, '\0', length)) {
        return cbx_fail_node(out, CBX_AT_VALUE, c->error, "a zero byte cannot stand in a text");
    }
    out->text = cbx_copy_bytes(c->memory, text, length);
    return out->text ? CB_OK : no_memory(c->error);
}

static cb_status fill_sequence(converter *c, cbx_node *out, struct fy_node *node, int depth)
{
    cb_status status = CB_OK;
    out->shape = CBX_SEQUENCE;
    cbx_node **tail = &out->first;
    void *at = NULL;
    struct fy_node *item = NULL;
    while (status == CB_OK && (item = fy_node_sequence_iterate(node, &at))) {
        *tail = new_node(c);
        status = *tail ? fill(c, *tail, item, depth + 1) : no_memory(c->error);
        tail = *tail ? &(*tail)->next : tail;
    }
    return status;
}

// A key that is itself a list or a block begins where its first scalar does.
static struct fy_node *first_scalar(struct fy_node *node)
{
    while (node && !fy_node_is_scalar(node)) {
        void *at = NULL;
        struct fy_node_pair *pair = fy_node_mapping_iterate(node, &at);
        at = NULL;
        node = pair ? fy_node_pair_key(pair) : fy_node_sequence_iterate(node, &at);
    }
    return node;
}

static cb_status read_key(converter *c, cbx_node *child, cbx_node *mapping, struct fy_node *key)
{
    place_of(first_scalar(key), &child->key_line, &child->key_column);
    if (!key || !fy_node_is_scalar(key) || fy_node_is_alias(key)) {
        return cbx_fail_node(child, CBX_AT_KEY, c->error, "a key must be a plain word");
    }
    size_t length = 0;
    const char *text = fy_node_get_scalar(key, &length);
    child->key = cbx_copy_bytes(c->memory, text ? text : "", text ? length : 0);
    if (!child->key) {
        return no_memory(c->error);
    }
    const cbx_node *twin = cbx_child(mapping, child->key);
    if (twin) {
        return cbx_fail_node(child, CBX_AT_KEY, c->error,
                             "key \"%s\" is given twice, first on line %d", child->key,
                             twin->key_line);
    }
    return CB_OK;
}

static cb_status fill_mapping(converter *c, cbx_node *out, struct fy_node *node, int depth)
{
    cb_status status = CB_OK;
    out->shape = CBX_MAPPING;
    cbx_node **tail = &out->first;
    void *at = NULL;
    struct fy_node_pair *pair = NULL;
    while (status == CB_OK && (pair = fy_node_mapping_iterate(node, &at))) {
        cbx_node *child = new_node(c);
        status = child ? read_key(c, child, out, fy_node_pair_key(pair)) : no_memory(c->error);
        if (status == CB_OK) {
            *tail = child;
            tail = &child->next;
            status = fill(c, child, fy_node_pair_value(pair), depth + 1);
        }
    }
    return status;
}

// A block begins where its first key or item does.
static void place_from_first_child(cbx_node *out)
{
    if (!out->line && out->first) {
        const bool keyed = out->first->key_line != 0;
        out->line = keyed ? out->first->key_line : out->first->line;
        out->column = keyed ? out->first->key_column : out->first->column;
    }
}

static cb_status fill(converter *c, cbx_node *out, struct fy_node *node, int depth)
{
    if (++c->nodes > MOST_NODES || depth > MOST_DEPTH) {
        return cbx_fail_node(out, CBX_AT_KEY, c->error,
                             "the text is nested too deeply or unfolds to too many values");
    }
    if (!node) {
        return CB_OK;
    }
    place_of(node, &out->line, &out->column);
    struct fy_node *target = node;
    if (fy_node_is_alias(node)) {
        target = fy_node_resolve_alias(node);
        if (!target) {
            return cbx_fail_node(out, CBX_AT_VALUE, c->error, "an alias without its anchor");
        }
        place_of(target, &out->line, &out->column);
    }
    cb_status status = CB_OK;
    switch (fy_node_get_type(target)) {
        case FYNT_SCALAR:
            status = fill_scalar(c, out, target);
            break;
        case FYNT_MAPPING:
            status = fill_mapping(c, out, target, depth);
            break;
        case FYNT_SEQUENCE:
            status = fill_sequence(c, out, target, depth);
            break;
    }
    place_from_first_child(out);
    return status;
}

// ---- libfyaml --------------------------------------------------------------------------------

static void discard(struct fy_diag *diag, void *user, const char *text, size_t length)
{
    (void)diag, (void)user, (void)text, (void)length;
}

static cb_status fail_syntax(struct fy_diag *diag, const cbx_text *from, cb_error *error)
{
    void *at = NULL;
    const struct fy_diag_error *first = fy_diag_errors_iterate(diag, &at);
    char message[CB_MESSAGE_SIZE];
    snprintf(message, sizeof message, "not valid YAML: %s",
             first && first->msg ? first->msg : "the text cannot be read");
    return fail_text(from, first ? first->line : 0, first ? first->column : 0, error, message);
}

static cb_status convert_documents(converter *c, struct fy_parser *parser, struct fy_diag *diag,
                                   cbx_node *root)
{
    struct fy_document *document = fy_parse_load_document(parser);
    if (!document) {
        return fy_diag_got_error(diag)
                   ? fail_syntax(diag, c->from, c->error)
                   : fail_text(c->from, 1, 1, c->error, "the text holds no values");
    }
    cb_status status = fill(c, root, fy_document_root(document), 0);
    fy_parse_document_destroy(parser, document);
    if (status != CB_OK) {
        return status;
    }
    document = fy_parse_load_document(parser);
    if (document) {
        fy_parse_document_destroy(parser, document);
        return fail_text(c->from, 1, 1, c->error, "the text holds more than one YAML document");
    }
    return fy_diag_got_error(diag) ? fail_syntax(diag, c->from, c->error) : CB_OK;
}

cb_status cbx_tree_parse(cbx_node **out, cb_design_memory *memory, const char *text,
                         const cbx_text *from, cb_error *error)
{
    *out = NULL;
    converter c = {.memory = memory, .from = from, .error = error};
    cbx_node *root = new_node(&c);
    if (!root) {
        return no_memory(error);
    }
    const cb_status readable = check_utf8(text, from, error);
    if (readable != CB_OK) {
        return readable;
    }
    struct fy_diag_cfg diag_config;
    fy_diag_cfg_default(&diag_config);
    diag_config.fp = NULL;
    diag_config.output_fn = discard;
    diag_config.colorize = false;
    struct fy_diag *diag = fy_diag_create(&diag_config);
    if (!diag) {
        return no_memory(error);
    }
    fy_diag_set_collect_errors(diag, true);
    const struct fy_parse_cfg config = {.flags = FYPCF_QUIET | FYPCF_COLLECT_DIAG |
                                                 FYPCF_DEFAULT_VERSION_1_2 | FYPCF_JSON_NONE |
                                                 FYPCF_ALLOW_DUPLICATE_KEYS,
                                        .diag = diag};
    struct fy_parser *parser = fy_parser_create(&config);
    cb_status status =
        parser && fy_parser_set_string(parser, text, strlen(text)) == 0 ? CB_OK : no_memory(error);
    if (status == CB_OK) {
        status = convert_documents(&c, parser, diag, root);
    }
    fy_parser_destroy(parser);
    fy_diag_destroy(diag);
    *out = status == CB_OK ? root : NULL;
    return status;
}
