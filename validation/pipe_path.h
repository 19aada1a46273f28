// SPDX-License-Identifier: MIT
/// The centre line of buried pipe as a parametric curve that repeats along the trench: every layout
/// is one of these to the source integrals and to the resolved cell alike.
#ifndef COILBED_VALIDATION_PIPE_PATH_H
#define COILBED_VALIDATION_PIPE_PATH_H

typedef enum pipe_path_kind {
    PATH_COIL,    ///< flat: x = p a / 2 pi - R sin a, y = R cos a
    PATH_RINGS,   ///< flat closed rings at the pitch
    PATH_UPRIGHT, ///< the coil in the vertical plane of the trench
    PATH_STRAIGHT ///< along the trench
} pipe_path_kind;

typedef struct pipe_path {
    pipe_path_kind kind;
    double diameter_m; ///< of the turns' centre line
    double pitch_m;    ///< advance per turn; of a straight pipe any length
    double across_m;   ///< of the middle, from the trench centre line
    double depth_m;    ///< of the middle
    /// Turns laid on top of each other: every turn tilts, its front up and its back down by this.
    /// Where two turns cross, the one's front lies on the other's back. 0: merged in one plane.
    double lift_m;
} pipe_path;

/// x along the trench from the middle of the turn, y across it, z down from the surface.
typedef struct path_point {
    double x_m, y_m, z_m;
} path_point;

/// A turn is a = -pi .. pi. Without lift it mirrors itself in x at a = 0.
path_point pipe_path_at(const pipe_path *path, double a);

/// Length of pipe per radian [m].
double pipe_path_speed_m(const pipe_path *path, double a);

/// Length of pipe in one turn.
double pipe_path_turn_m(const pipe_path *path);

#endif
