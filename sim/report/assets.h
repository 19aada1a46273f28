// SPDX-License-Identifier: MIT
/// Files that the build puts into the program; see CMakeLists.txt.
#ifndef REPORT_ASSETS_H
#define REPORT_ASSETS_H

const char *cbx_head_text(void);
const char *cbx_foot_text(void);
const char *cbx_caution_text(void);
const char *cbx_move_buttons_text(void);
const char *cbx_study_answer_text(void);
const char *cbx_study_rest_text(void);
const char *cbx_run_text(void);
const char *cbx_grid_text(void);
const char *cbx_samples_text(void);
const char *cbx_several_text(void);
const char *cbx_page_style(void);
const char *cbx_page_script(void);
const char *cbx_figures_script(void);
const char *cbx_ground_script(void);
const char *cbx_several_script(void);
const char *cbx_study_script(void);
const char *cbx_start_script(void);

/// The chart library dygraphs; "" each if the build did not find it.
const char *cbx_dygraphs_script(void);
const char *cbx_dygraphs_style(void);
const char *cbx_dygraphs_notice(void);

#endif
