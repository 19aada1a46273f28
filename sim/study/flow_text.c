// SPDX-License-Identifier: MIT
#include "study/flow_text.h"

#include "design/quoted.h"

#include <stdio.h>
#include <stdlib.h>

static void put_node(FILE *stream, const cbx_node *node)
{
    if (node->shape == CBX_SCALAR) {
        if (node->text) {
            cbx_put_quoted(stream, node->text);
        }
        return;
    }
    const bool mapping = node->shape == CBX_MAPPING;
    fputc(mapping ? '{' : '[', stream);
    for (const cbx_node *at = node->first; at; at = at->next) {
        fputs(at == node->first ? "" : ", ", stream);
        if (mapping) {
            cbx_put_quoted(stream, at->key);
            fputs(": ", stream);
        }
        put_node(stream, at);
    }
    fputc(mapping ? '}' : ']', stream);
}

const char *cbx_flow_text(cb_design_memory *memory, const cbx_node *node)
{
    if (node->shape == CBX_SCALAR) {
        return node->text;
    }
    char *text = NULL;
    size_t size = 0;
    FILE *stream = open_memstream(&text, &size);
    if (!stream) {
        return NULL;
    }
    put_node(stream, node);
    const char *copy = fclose(stream) == 0 && text ? cbx_copy(memory, text) : NULL;
    free(text);
    return copy;
}
