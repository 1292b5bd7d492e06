package tables

import (
	"fmt"
	"math"
	"slices"
	"sync"

	"rigline/components/units"
)

// Chemistry is what is taken of a battery chemistry where the block's own figures
// are not told: for a block of 12 V nominal and 100 Ah at 25 °C. Resistance goes as
// 1/capacity, voltage as the blocks in series, current as the capacity.
type Chemistry struct {
	ID, Name       string
	Cells          int     // in series in a 12 V block
	NominalVoltage float64 // V

	ChargeVoltage struct{ Absorb, Max, Float float64 } // V
	CutOff        struct{ Load, Trip float64 }         // V: where loads should stop; where the block ends or its management trips

	OCV [][2]float64 // rested: per cent of charge, V; fullest first

	Resistance struct{ Fault, Sag float64 } // mΩ: cells alone, for faults; in use, for sag

	ChargeRate, DischargeRate struct{ Usual, Max float64 } // of the capacity, 1/h

	Temperature struct{ ChargeMin, ChargeMax, DischargeMin, DischargeMax float64 } // °C

	Peukert    float64
	UsableDoD  struct{ Value, Max float64 } // part of the capacity, 0 to 1
	Efficiency struct{ Coulombic, Energy float64 }

	verified map[string]string
}

// Verified tells how a figure of the table was verified, by its name there, as
// fault_mohm: V in two public pages or more, V1 in one, M from memory, P common
// practice without a source.
func (c Chemistry) Verified(figure string) (how string, ok bool) {
	how, ok = c.verified[figure]
	return how, ok
}

var chemistryNames = map[string]string{
	"lfp":     "lithium iron phosphate",
	"agm":     "absorbed-glass-mat lead-acid",
	"gel":     "gelled-electrolyte lead-acid",
	"flooded": "vented lead-acid",
}

var chemistries = sync.OnceValue(func() map[string]Chemistry {
	figures := map[string]map[string]float64{}
	verified := map[string]map[string]string{}
	for _, r := range read("battery_defaults") {
		id := r["chemistry"]
		if figures[id] == nil {
			figures[id], verified[id] = map[string]float64{}, map[string]string{}
		}
		figures[id][r["figure"]] = r.num("value")
		verified[id][r["figure"]] = r["verified"]
	}
	rest := map[string][][2]float64{}
	for _, r := range read("battery_rest_voltage") {
		rest[r["chemistry"]] = append(rest[r["chemistry"]], [2]float64{r.num("percent"), r.num("volts")})
	}
	all := map[string]Chemistry{}
	for id, f := range figures {
		get := func(figure string) float64 {
			v, ok := f[figure]
			if !ok {
				panic(fmt.Sprintf("battery_defaults: %s has no %s", id, figure))
			}
			return v
		}
		c := Chemistry{ID: id, Name: chemistryNames[id], Cells: int(get("cells")), NominalVoltage: get("nominal_v"), Peukert: get("peukert"), OCV: rest[id], verified: verified[id]}
		slices.Reverse(c.OCV)
		c.ChargeVoltage.Absorb, c.ChargeVoltage.Max, c.ChargeVoltage.Float = get("absorb_v"), get("max_v"), get("float_v")
		c.CutOff.Load, c.CutOff.Trip = get("load_cutoff_v"), get("trip_v")
		c.Resistance.Fault, c.Resistance.Sag = get("fault_mohm"), get("sag_mohm")
		c.ChargeRate.Usual, c.ChargeRate.Max = get("charge_c"), get("charge_max_c")
		c.DischargeRate.Usual, c.DischargeRate.Max = get("discharge_c"), get("discharge_max_c")
		c.Temperature.ChargeMin, c.Temperature.ChargeMax = get("charge_min_temp_c"), get("charge_max_temp_c")
		c.Temperature.DischargeMin, c.Temperature.DischargeMax = get("discharge_min_temp_c"), get("discharge_max_temp_c")
		c.UsableDoD.Value, c.UsableDoD.Max = get("usable_dod"), get("deepest_dod")
		c.Efficiency.Coulombic, c.Efficiency.Energy = get("coulombic_efficiency"), get("energy_efficiency")
		all[id] = c
	}
	return all
})

// BatteryChemistry finds a chemistry by its word: lfp, agm, gel or flooded.
func BatteryChemistry(word string) (Chemistry, bool) {
	c, ok := chemistries()[word]
	return c, ok
}

// RestVoltage is the rested voltage of a 12 V block at a state of charge from 0 to
// 1, straight between the table's points.
func (c Chemistry) RestVoltage(soc float64) (units.Volt, error) {
	pct := soc * 100
	if pct >= 0 && pct <= 100 {
		for i := 1; i < len(c.OCV); i++ {
			if hi, lo := c.OCV[i-1], c.OCV[i]; pct >= lo[0] {
				return units.Volt(lo[1] + (hi[1]-lo[1])*(pct-lo[0])/(hi[0]-lo[0])), nil
			}
		}
	}
	return 0, fmt.Errorf("state of charge of %v: want 0 to 1", soc)
}

// FaultResistance is what a bank puts in the way of a short circuit at its
// terminals: the cells alone, without crediting a management switch, for blocks of
// a capacity in Ah, how many of 12 V in series and how many such strings in
// parallel.
func (c Chemistry) FaultResistance(ah, series, parallel float64) (units.Ohm, error) {
	if !(ah > 0) || !(series > 0) || !(parallel > 0) {
		return 0, fmt.Errorf("bank of %v × %v blocks of %v Ah: want figures above zero", series, parallel, ah)
	}
	return units.Ohm(c.Resistance.Fault / 1000 * 100 / ah * series / parallel), nil
}

// PeukertHours is how long a lead-acid bank of capacity C Ah, told at the
// R-hour rate, lasts at a current:
//
//	t = R · (C / (I·R))ⁿ
//
// It holds for I from C/R up; below it is an error, since the exponent would
// promise more than the capacity. C at one rate with I at another, t = C/Iⁿ, is
// a common mistake and not this.
func PeukertHours(ah, rateH float64, i units.Amp, n float64) (hours float64, err error) {
	switch {
	case !(ah > 0) || !(rateH > 0) || !(i > 0) || !(n >= 1):
		return 0, fmt.Errorf("%v Ah at the %v-hour rate, %v, exponent %v: want figures above zero and an exponent from 1", ah, rateH, i, n)
	case float64(i) < ah/rateH*(1-1e-9):
		return 0, fmt.Errorf("%v: below the %v of the %v-hour rate, where Peukert's law is not for", i, units.Amp(ah/rateH), rateH)
	}
	return rateH * math.Pow(ah/(float64(i)*rateH), n), nil
}

var coldFactors = sync.OnceValue(func() [][2]float64 {
	var t [][2]float64
	for _, r := range read("lead_acid_capacity_temperature") {
		t = append(t, [2]float64{r.num("temp_c"), r.num("factor")})
	}
	return t
})

// ColdCapacityFactor is what the capacity of a lead-acid bank is multiplied by for
// cold electrolyte (IEEE 485 style), straight between the table's points, -6.7 to
// 26.7 °C. Warmer electrolyte takes 1; colder is an error.
func ColdCapacityFactor(t units.Celsius) (float64, error) {
	rows := coldFactors()
	if t >= units.Celsius(rows[len(rows)-1][0]) {
		return 1, nil
	}
	for i := 1; i < len(rows); i++ {
		lo, hi := rows[i-1], rows[i]
		if float64(t) >= lo[0] && float64(t) <= hi[0] {
			return lo[1] + (hi[1]-lo[1])*(float64(t)-lo[0])/(hi[0]-lo[0]), nil
		}
	}
	return 0, fmt.Errorf("electrolyte of %v: outside the table, which ends at -6.7 °C", t)
}

// BankAmpHours is the capacity that days without charge need:
//
//	Ah = Wh · days / depth of discharge · temperature factor / V
//
// (IEEE 1013 simplified). Losses of an inverter belong in the watt-hours.
func BankAmpHours(whPerDay, days, depth, tempFactor float64, nominal units.Volt) (ah float64, err error) {
	if !(whPerDay >= 0) || !(days >= 0) || !(depth > 0 && depth <= 1) || !(tempFactor >= 1) || !(nominal > 0) {
		return 0, fmt.Errorf("%v Wh, %v days, depth %v, factor %v, %v: want a depth to 1, a factor from 1 and a voltage", whPerDay, days, depth, tempFactor, nominal)
	}
	return whPerDay * days / depth * tempFactor / float64(nominal), nil
}

// InverterInput is the DC current of an inverter at a power and input voltage:
// I = P / (V·efficiency). For sizing, the voltage is the lowest it runs at (NEC
// 690.8(A)(4), 706.20(A)(3)).
func InverterInput(p units.Watt, v units.Volt, efficiency float64) (units.Amp, error) {
	if !(p >= 0) || !(v > 0) || !(efficiency > 0 && efficiency <= 1) {
		return 0, fmt.Errorf("%v at %v, efficiency %v: want a voltage above zero and an efficiency to 1", p, v, efficiency)
	}
	return units.Amp(float64(p) / (float64(v) * efficiency)), nil
}
