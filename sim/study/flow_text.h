// SPDX-License-Identifier: MIT
#ifndef COILBED_STUDY_FLOW_TEXT_H
#define COILBED_STUDY_FLOW_TEXT_H

#include "design/tree.h"

/// A node as one line of YAML that reads back to the same, for an override's value: a scalar's own
/// text, or {...} or [...]. Lives as long as memory; NULL if memory runs out.
const char *cbx_flow_text(cb_design_memory *memory, const cbx_node *node);

#endif
