// SPDX-License-Identifier: MIT
#include "cli/failure.h"

#include "cli/message.h"
#include "coilbed/version.h"
#include "findings/json_writer.h"

static void place(cbx_json *json, const char *key, int number)
{
    if (number > 0) {
        cbx_json_number(json, key, number);
    } else {
        cbx_json_null(json, key);
    }
}

static void print_document(const cli_options *options, const cb_error *error, int status)
{
    cbx_json json = {.stream = stdout};
    cbx_json_open(&json, NULL, '{');
    cbx_json_text(&json, "program", "coilbed " CB_VERSION);
    cbx_json_text(&json, "file", options->operand);
    cbx_json_text(&json, "verdict", status == CLI_INVALID ? "invalid" : NULL);
    cbx_json_number(&json, "exit_status", status);
    cbx_json_text(&json, "exit_meaning", cli_exit_meaning(status));
    cbx_json_null(&json, "quality");
    cbx_json_open(&json, "error", '{');
    cbx_json_text(&json, "message",
                  error->message[0] ? error->message : cb_status_text(error->status));
    cbx_json_text(&json, "file", error->file[0] ? error->file : NULL);
    place(&json, "line", error->line);
    place(&json, "column", error->column);
    cbx_json_close(&json, '}');
    cbx_json_close(&json, '}');
    putchar('\n');
}

int cli_fail_with(const cli_options *options, const cb_error *error, int status)
{
    cli_report(error);
    if (options->json) {
        print_document(options, error, status);
    }
    return status;
}

int cli_fail(const cli_options *options, const cb_error *error)
{
    return cli_fail_with(options, error, cli_exit_status(error->status));
}
