// SPDX-License-Identifier: MIT
/// All of libcoilbed.
#ifndef COILBED_COILBED_H
#define COILBED_COILBED_H

#include "coilbed/design.h"
#include "coilbed/energy.h"
#include "coilbed/engine.h"
#include "coilbed/field.h"
#include "coilbed/findings.h"
#include "coilbed/ground.h"
#include "coilbed/house.h"
#include "coilbed/hydraulics.h"
#include "coilbed/loop.h"
#include "coilbed/plant.h"
#include "coilbed/record.h"
#include "coilbed/report.h"
#include "coilbed/status.h"
#include "coilbed/units.h"
#include "coilbed/version.h"
#include "coilbed/weather.h"
#include "coilbed/yard.h"

#endif
