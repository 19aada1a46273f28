// SPDX-License-Identifier: MIT
#include "study/study_key.h"

#include "study/cache.h"

#include <nettle/sha2.h>
#include <stdio.h>
#include <string.h>

// With its end, so that no two rows of texts run together into the same bytes.
static void add(struct sha256_ctx *hash, const char *text)
{
    sha256_update(hash, strlen(text) + 1, (const uint8_t *)text);
}

cb_status cbx_study_key(char key[65], const cb_study *study, const cb_units *units, cb_error *error)
{
    const cb_case_source source = {
        .path = study->design_path, .set = study->set, .set_count = study->set_count};
    cb_inputs inputs;
    char base[65] = "";
    cb_status status = cb_inputs_open(&inputs, &source, units, error);
    if (status == CB_OK) {
        status = cbx_case_key(base, &inputs, error);
    }
    cb_inputs_close(&inputs);
    if (status != CB_OK) {
        return status;
    }
    struct sha256_ctx hash;
    uint8_t digest[SHA256_DIGEST_SIZE];
    sha256_init(&hash);
    add(&hash, base);
    add(&hash, study->text);
    for (size_t i = 0; i < study->set_count; i++) {
        add(&hash, study->set[i].path);
        add(&hash, study->set[i].value);
    }
    sha256_digest(&hash, sizeof digest, digest);
    for (size_t i = 0; i < sizeof digest; i++) {
        snprintf(key + 2 * i, 3, "%02x", digest[i]);
    }
    return CB_OK;
}
