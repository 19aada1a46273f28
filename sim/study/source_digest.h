// SPDX-License-Identifier: MIT
#ifndef STUDY_SOURCE_DIGEST_H
#define STUDY_SOURCE_DIGEST_H

/// SHA-256 over all sources that a run's numbers come from, taken when the library was built: a
/// changed equation makes another case of the same design, whatever the version says.
const char *cbx_source_digest(void);

#endif
