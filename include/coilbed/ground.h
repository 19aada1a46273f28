// SPDX-License-Identifier: MIT
/// The ground: soil properties, freezing in enthalpy form, the graded section, and its surface.
#ifndef COILBED_GROUND_H
#define COILBED_GROUND_H

#include "coilbed/weather.h"

#ifdef __cplusplus
extern "C" {
#endif

// ---- soil properties -------------------------------------------------------------------------

/// One entry of the table of ground materials.
typedef struct cb_material {
    const char *name;        ///< as written in a design, e.g. "sandy_loam"
    const char *description; ///< a few words for people
    double dry_density_kg_m3;
    double solids_density_kg_m3;
    double quartz; ///< share of the solids, 0..1
    double specific_surface_m2_g;
    double solids_conductivity_w_mk; ///< NaN: from the quartz (Johansen 1975)
    double solids_heat_capacity_j_m3k;
    double default_saturation; ///< share of the pores filled with water when nothing is said
    bool coarse;               ///< Johansen's coarse branch
    bool organic;
    bool stony;         ///< gravel, broken stone or rock: Cote & Konrad's constants for them
    const char *source; ///< of the numbers
} cb_material;

/// The n-th entry (0, 1, ...); NULL past the end.
const cb_material *cb_material_at(int n);
const cb_material *cb_material_find(const char *name);

/// The entry whose texture class (triangle of the US Department of Agriculture) holds these shares.
const cb_material *cb_material_of_shares(double sand, double silt, double clay);

/// The entry of a resolved soil with that soil's density and quartz.
cb_material cb_material_of_soil(const cb_soil *soil);

/// Pore volume per volume, 1 - dry density / solids density.
double cb_porosity(const cb_material *material);

/// Conductivity [W/(m K)] by Johansen 1975 as given in Farouki 1981 (CRREL Monograph 81-1), by Cote
/// & Konrad 2005 (Canadian Geotechnical Journal 42) and by Lu et al. 2007 (Soil Science Society of
/// America Journal 71; unfrozen soil only).
/// @param saturation share of the pores filled with water, 0..1
double cb_johansen_w_mk(const cb_material *material, double saturation, bool frozen);
double cb_cote_konrad_w_mk(const cb_material *material, double saturation, bool frozen);
double cb_lu_w_mk(const cb_material *material, double saturation);

/// The same by model; frozen soil by Lu et al. has the form of Johansen, for they give none.
double cb_soil_conductivity_w_mk(const cb_material *material, cb_conductivity_model model,
                                 double saturation, bool frozen);

/// Volumetric heat capacity [J/(m3 K)] by constituents, de Vries 1963: solids as the material says
/// (minerals 1.92e6), water 4.18e6, ice 1.93e6.
/// @param water_fraction volume of water per volume of soil before freezing
double cb_soil_heat_capacity_j_m3k(const cb_material *material, double water_fraction, bool frozen);

/// Power-law freezing curve theta_u = theta (T_f / T)^b with b and T_f from texture and water by
/// Anderson & Tice 1972 (coefficients from memory):
/// ln w_u = 0.2618 + 0.5519 ln S - 1.449 S^-0.264 ln(-T), w in per cent of dry mass, S in m2/g.
/// T_f is kept between -2 and -0.1 degC, the latter for the solutes of any ground water (common
/// practice, no source).
void cb_freezing_curve(const cb_material *material, double water_fraction, double *start_c,
                       double *exponent);

/// A soil of a material with so much water and nothing else said.
cb_soil cb_soil_of(const char *material, double water_fraction);

/// Share of the pores that a word of moisture means (common practice, no source).
double cb_saturation_of(cb_moisture moisture);

/// Fills every NaN of a soil. The entry: `material`, or the class of the shares. Density and
/// quartz: as given, else the entry's, the quartz of shares being their sand (Lu et al. 2007).
/// Water: by volume, by mass or by a word, of which the latter two end up in water_fraction and are
/// cleared; else the entry's default. A given conductivity keeps the model's ratio of dry season to
/// stated. Resolving again changes nothing. Errors: CB_BAD_INPUT for no or an unknown material,
/// shares that are not all given, do not sum to 1 or are those of another class, a dry density not
/// below that of the solids, water stated twice, water that is negative or more than the pores
/// hold, a dry season wetter than that, and the model of Lu et al. for peat.
cb_status cb_soil_resolve(cb_soil *soil, cb_error *error);

/// The soil of layer n of a design, resolved; n == layer_count is the backfill. Errors: as
/// cb_soil_resolve, at the place in the design of the key at fault (cb_design_fail).
cb_status cb_soil_of_layer(cb_soil *out, const cb_design *design, int n, cb_error *error);

// ---- enthalpy --------------------------------------------------------------------------------

/// T, its slope, conductivity and ice share as functions of volumetric enthalpy, tabulated once.
/// T(H) is continuously differentiable; latent heat (334 kJ/kg of water) is exact.
typedef struct cb_soil_curve cb_soil_curve;

typedef struct cb_soil_state {
    double temperature_c;
    double slope_k_m3_j; ///< dT/dH > 0
    double conductivity_w_mk;
    double ice; ///< share of the soil's water that is ice, 0..1
} cb_soil_state;

/// @param soil resolved (no NaN). Errors: CB_BAD_INPUT for values that are not positive,
/// CB_NO_MEMORY.
cb_status cb_soil_curve_create(cb_soil_curve **out, const cb_soil *soil, cb_error *error);
cb_soil_curve *cb_soil_curve_destroy(cb_soil_curve *curve);

/// State at a volumetric enthalpy [J/m3], zero at 0 degC unfrozen.
cb_soil_state cb_soil_at(const cb_soil_curve *curve, double enthalpy_j_m3);

/// The same in ground whose root zone has so much of its water gone (0..1): the conductivity moves
/// towards that of the soil's dry season; enthalpy and ice stay those of the water stated.
cb_soil_state cb_soil_dried_at(const cb_soil_curve *curve, double enthalpy_j_m3, double dryness);

/// Enthalpy of a temperature [J/m3]: the inverse of cb_soil_at to 1e-9 K.
double cb_soil_enthalpy_j_m3(const cb_soil_curve *curve, double temperature_c);

/// Unfrozen volumetric heat capacity [J/(m3 K)], the scale of tolerances.
double cb_soil_unfrozen_capacity_j_m3k(const cb_soil_curve *curve);

// ---- grid ------------------------------------------------------------------------------------

/// A place where cells must be small: [low, high] is covered by `cells` equal cells exactly.
typedef struct cb_fine_span {
    double low_m, high_m;
    int cells;
} cb_fine_span;

/// Edges along one axis.
typedef struct cb_axis {
    int cells;
    double *edge_m; ///< [cells + 1], rising
} cb_axis;

/// Limits of a graded axis.
typedef struct cb_axis_rule {
    double first_m, last_m; ///< ends of the axis
    double first_size_m;    ///< cell size wanted at first_m; 0: no wish
    double growth;          ///< cell size may grow by this much per metre of distance, e.g. 0.22
    double largest_m;       ///< no cell larger than this
} cb_axis_rule;

/// Covers the axis so that each fine span keeps its own cells, each of `breaks` (layer boundaries)
/// lies on an edge unless it falls within a span or within half a cell of another edge, and sizes
/// grow smoothly between (neighbours differ by at most about 1 + growth). Mirrored wishes give
/// mirrored edges.
/// @param spans sorted, not overlapping, inside the axis; @param breaks sorted
/// Errors: CB_BAD_CALL if spans overlap or leave the axis, CB_NO_MEMORY. Free with cb_axis_free.
cb_status cb_axis_create(cb_axis *out, const cb_axis_rule *rule, const cb_fine_span *spans,
                         int span_count, const double *breaks, int break_count, cb_error *error);
void cb_axis_free(cb_axis *axis);

// ---- surface ---------------------------------------------------------------------------------

/// Heat that a square metre of soil surface takes in: intake_w_m2 - h_w_m2k * T_surface, exact for
/// the hour's weather near the surface temperature it was made for (yard.h).
typedef struct cb_surface_exchange {
    double intake_w_m2; ///< at a surface of 0 degC
    double h_w_m2k;     ///< > 0
} cb_surface_exchange;

/// The exchange of a plain film: other_w_m2 + h_w_m2k * (air - T_surface).
static inline cb_surface_exchange cb_film(double air_c, double h_w_m2k, double other_w_m2)
{
    const cb_surface_exchange film = {other_w_m2 + h_w_m2k * air_c, h_w_m2k};
    return film;
}

// ---- section ---------------------------------------------------------------------------------

/// One rectangular section of soil at right angles to the trenches, finite volumes, z fastest:
/// cell (i across, k down) has index i * nz + k, so a column is contiguous.
typedef struct cb_section {
    int nx, nz, cells;
    double *x_edge_m, *z_edge_m;  ///< [nx + 1], [nz + 1]
    double *dx_m, *dz_m;          ///< [nx], [nz] cell sizes
    double depth_area_m;          ///< length along the trench times scale: area per metre of face
    double *volume_m3;            ///< [cells] soil only (pipes and near fields taken out), scaled
    int *soil;                    ///< [cells] index into curves
    cb_soil_curve *const *curves; ///< not owned
    double geothermal_flux_w_m2;
} cb_section;

/// Index of cell (i across, k down): the one place that knows the order.
static inline int cb_cell(const cb_section *section, int i, int k)
{
    return i * section->nz + k;
}

/// Depth of the centre of row k [m].
static inline double cb_row_depth_m(const cb_section *section, int k)
{
    return 0.5 * (section->z_edge_m[k] + section->z_edge_m[k + 1]);
}

/// Materials by depth and, inside boxes, by place.
typedef struct cb_soil_box {
    double x_low_m, x_high_m, z_low_m, z_high_m;
    int soil; ///< index into curves
} cb_soil_box;

typedef struct cb_section_plan {
    const cb_axis *x, *z;
    double length_m, scale, geothermal_flux_w_m2;
    cb_soil_curve *const *curves; ///< must outlive the section
    const double *layer_bottom_m; ///< [layers]; layer n uses curves[n]
    int layers;
    const cb_soil_box *boxes; ///< later boxes win
    int box_count;
} cb_section_plan;

/// Errors: CB_NO_MEMORY. *out is owned by the caller.
cb_status cb_section_create(cb_section **out, const cb_section_plan *plan, cb_error *error);
cb_section *cb_section_destroy(cb_section *section);

/// State of all cells and the conductances between them. Arrays are the caller's, [cells] each
/// (top: [nx]).
typedef struct cb_section_state {
    double *temperature_c, *conductivity_w_mk, *slope_k_m3_j;
    double *across_w_k; ///< to the cell at (i + 1, k); 0 at the right side
    double *down_w_k;   ///< to the cell at (i, k + 1); 0 at the bottom
    double *top_w_k;    ///< [nx] from the first cell of a column to the air
} cb_section_state;

cb_status cb_section_state_create(cb_section_state **out, const cb_section *section,
                                  cb_error *error);
cb_section_state *cb_section_state_destroy(cb_section_state *state);

/// Fills the state from enthalpies [cells], the surface film and the dryness of the root zone
/// (0..1). Two neighbours conduct through
/// their half-cells in series, so a conductivity jump on a face is exact in steady state.
void cb_section_update(const cb_section *section, const double *enthalpy_j_m3,
                       double surface_h_w_m2k, double dryness, cb_section_state *state);

/// Heat stored relative to 0 degC unfrozen [J].
double cb_section_stored_j(const cb_section *section, const double *enthalpy_j_m3);

#ifdef __cplusplus
}
#endif
#endif
