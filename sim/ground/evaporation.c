#include "coilbed/yard.h"
#include <math.h>
double cb_saturation_kpa(double t){return 0.6108*exp(17.27*t/(t+237.3));}
double cb_saturation_slope_kpa_k(double t){return 4098*cb_saturation_kpa(t)/((t+237.3)*(t+237.3));}
double cb_air_pressure_kpa(double z){return 101.3*pow((293-0.0065*z)/293,5.26);}
double cb_psychrometric_kpa_k(double z){return 0.665e-3*cb_air_pressure_kpa(z);}
double cb_wind_at_2m_m_s(double w,double h){return w*4.87/log(67.8*h-5.42);}
double cb_snow_conductivity_w_mk(double r){double g=r/1000; return r<156?0.023+0.234*g:0.138-1.01*g+3.233*g*g;}
double cb_fresh_snow_density_kg_m3(double t){return 67.92+51.25*exp(fmin(0,t)/2.59);}
