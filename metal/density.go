package metal

import (
	"math"

	"midcase/estimate"
)

// AirDensity is the density of air that a weighing is corrected for, in g/cm³.
const AirDensity = 0.0012

// uWaterDensity is the standard uncertainty of the density of tap or distilled
// water at a temperature read to about 1 °C, in g/cm³.
const uWaterDensity = 0.0003

// WaterDensity is the density in g/cm³ of air-free water under one atmosphere at t
// in °C, by the formula of Tanaka, Girard, Davis, Peuto and Bignell (Metrologia 38,
// 2001, 301–309), coefficients from memory and checked against handbook values. It
// errs outside 0–40 °C.
func WaterDensity(tempC float64) (float64, error) {
	if err := within("water_temp_c", tempC, 0, 40, "0 to 40 °C"); err != nil {
		return 0, err
	}
	const a1, a2, a3, a4, a5 = -3.983035, 301.797, 522528.9, 69.34881, 0.999974950
	return a5 * (1 - (tempC+a1)*(tempC+a1)*(tempC+a2)/(a3*(tempC+a4))), nil
}

// DensityResult is a density by weighing in air and in water.
type DensityResult struct {
	GPerCM3    float64
	U          float64 // standard uncertainty
	Interval90 estimate.Interval
	VolumeCM3  float64
}

// Density is the density of a solid part that weighs airG in air and waterG hanging
// in water of waterTempC, both with standard uncertainties:
//
//	ρ = m_a·(ρ_w − ρ_air)/(m_a − m_w) + ρ_air
//	u² = (ρ_w/d²)²·(m_w²·u_a² + m_a²·u_w²) + (m_a·u_ρw/d)²,  d = m_a − m_w
//
// Bubbles and hollow links lower it. It errs on masses that are not positive, and
// on a mass in water that is not under that in air.
func Density(airG, uAir, waterG, uWater, waterTempC float64) (DensityResult, error) {
	for _, v := range []struct {
		field string
		x     float64
	}{{"air_g", airG}, {"water_g", waterG}} {
		if err := within(v.field, v.x, math.SmallestNonzeroFloat64, 1e5, "a mass above 0 g"); err != nil {
			return DensityResult{}, err
		}
	}
	for _, v := range []struct {
		field string
		x     float64
	}{{"u_air", uAir}, {"u_water", uWater}} {
		if err := within(v.field, v.x, 0, 1e5, "0 or more"); err != nil {
			return DensityResult{}, err
		}
	}
	if waterG >= airG {
		return DensityResult{}, bad("water_g", waterG, "less than the mass in air; in water a solid part weighs less")
	}
	water, err := WaterDensity(waterTempC)
	if err != nil {
		return DensityResult{}, err
	}
	d := airG - waterG
	rho := airG*(water-AirDensity)/d + AirDensity
	u := math.Hypot(water/(d*d)*math.Hypot(waterG*uAir, airG*uWater), airG*uWaterDensity/d)
	return DensityResult{GPerCM3: rho, U: u, Interval90: estimate.Interval{rho - z90*u, rho + z90*u},
		VolumeCM3: d / (water - AirDensity)}, nil
}
