// SPDX-License-Identifier: MIT
// The network as it is solved: circuits between a supply header and a return header.
//
//     house ==> 0 --supply[0]--> 1 --supply[1]--> ... n-1
//               |                |                 |      circuit[i], each its own flow q_i
//     house <== 0 <--back[0]---- 1 <--back[1]----- n-1    direct return
//               0 ---back[0]---> 1 ---back[1]----> n-1 --run_back--> house    reverse return
#ifndef COILBED_LOOP_NETWORK_H
#define COILBED_LOOP_NETWORK_H

#include "loop/hydraulics.h"

enum { CBX_STATE_FIELDS = sizeof(cb_network_state) / sizeof(double) };

struct cb_network {
    int count;               // circuits
    cbx_line *circuit;       // [count]
    bool has_headers;        // false: all circuits meet in one point
    cbx_line *supply, *back; // [count - 1], between take-offs k and k + 1
    bool reverse;
    cbx_line run_back;
    int trunks; // lines that carry all the water between take-offs and units
    cbx_line trunk[2];
    cbx_unit_curve unit;
    cbx_pump pump;
    cb_fluid fluid;
    double wanted_m3_s;
    double given_power_w; // without a curve
    double heat_share;
    // Table: nodes of CBX_STATE_FIELDS + count values, then as many slopes.
    int nodes;
    double first_c, step_k;
    double *table;
};

// One solution and the room to find it in. The flows stay as the next one's start.
typedef struct cbx_point {
    const cb_network *network;
    cb_fluid_properties fluid;
    double flow_m3_s, speed;                                 // of the last solution
    double *flow;                                            // [count], of each circuit
    double *trial, *path, *slope, *near, *far, *ones, *step; // [count]
    double *matrix;                                          // [count][count]
} cbx_point;

// False if memory runs out; cbx_point_close is needed in both cases.
bool cbx_point_open(cbx_point *point, const cb_network *network);
void cbx_point_close(cbx_point *point);

// Solves at a temperature; outside the fluid's data at their end.
void cbx_point_solve(cbx_point *point, double temperature_c);
// Splits a flow among the circuits and gives the drop all round the loop.
cbx_value cbx_point_drop(cbx_point *point, double flow_m3_s, bool with_units);
void cbx_point_report(const cbx_point *point, double temperature_c, cb_network_report *out);

cb_status cbx_network_tabulate(cb_network *network, const cb_design *design, cb_error *error);

#endif
