// Package energy runs a rig through a day by the hour: what the loads use, what
// sun, engine, generator and site supply give, how far the bank goes down, and
// what holds the rest back.
//
// Watt-hours are counted at the bank's nominal voltage. What charging at a higher
// voltage costs is in the share of its rating that an array brings to the bank,
// and in the AC input that a charger needs. Cable losses are not counted, and what
// is run by hand begins at eight: both are told among what a day rests on.
package energy

import (
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// Bank is batteries in parallel that carry loads together.
type Bank struct {
	IDs        []components.ID
	Chemistry  tables.Chemistry
	Volts      float64 // nominal, of the whole series
	AmpHours   float64 // rated, of all strings; lead at the 20-hour rate
	Depth      float64 // usable share of the capacity
	Peukert    float64 // exponent; 1 for lithium
	Coulombic  float64 // charge out over charge in
	ChargeA    float64 // what it accepts
	DischargeA float64 // what it may give; +Inf where it was not told
}

// leadRate is the discharge time, in hours, that a lead bank's capacity is told
// at (trade practice: C20).
const leadRate = 20

// Lead tells whether Peukert's law and a slow end of charge hold.
func (b Bank) Lead() bool { return b.Chemistry.ID != "lfp" }

// UsableWh is what the bank gives from full, at its rated current.
func (b Bank) UsableWh() float64 { return b.AmpHours * b.Volts * b.Depth }

// Hours is how long a full bank carries a steady power at its terminals, in h,
// down to its usable depth. Lithium: t = V·Ah·depth/P. Lead: Peukert's
// t = R·(C/(I·R))ⁿ·depth above the rated current, and C/I·depth below it, where
// the law would promise more than the capacity. No load gives +Inf.
func (b Bank) Hours(watts float64) float64 {
	i := watts / b.Volts
	if i <= 0 {
		return math.Inf(1)
	}
	if h, err := tables.PeukertHours(b.AmpHours, leadRate, units.Amp(i), b.Peukert); err == nil && b.Peukert > 1 {
		return h * b.Depth
	}
	return b.AmpHours / i * b.Depth
}

// drain is how many ampere-hours of rated charge one ampere-hour at a current
// takes: (I/I₂₀)ⁿ⁻¹ for lead above its rated current.
func (b Bank) drain(amps float64) float64 {
	rated := b.AmpHours / leadRate
	if b.Peukert <= 1 || amps <= rated {
		return 1
	}
	return math.Pow(amps/rated, b.Peukert-1)
}

// Tail is how long the last part of a charge takes, with the current falling, in
// h: common practice, no source: 0.5 h for lithium, 3 h for lead (2 to 4).
func (b Bank) Tail() float64 {
	if b.Lead() {
		return 3
	}
	return 0.5
}

// Accepts is the current that the bank takes at a state of charge: its limit,
// and near full what is missing over a third of its tail, so that the current
// falls away by e in that time.
func (b Bank) Accepts(soc float64) float64 {
	return math.Min(b.ChargeA, math.Max(0, 1-soc)*b.AmpHours/b.Coulombic/(b.Tail()/3))
}

// RechargeHours is how long a current takes to put charge back, in h:
// t = Ah/(η·I) + tail. No current gives +Inf.
func (b Bank) RechargeHours(ampHours, amps float64) float64 {
	amps = math.Min(amps, b.ChargeA)
	if amps <= 0 {
		return math.Inf(1)
	}
	if ampHours <= 0 {
		return 0
	}
	return ampHours/(b.Coulombic*amps) + b.Tail()
}

// ColdFactor is what the capacity of the bank is divided by in the cold: the
// table of lead; lithium is taken as 1, since its management stops it before.
func (b Bank) ColdFactor(c float64) (float64, error) {
	if !b.Lead() {
		return 1, nil
	}
	return tables.ColdCapacityFactor(units.Celsius(c))
}

// Needed is the capacity, in Ah, that carries a day's watt-hours for days without
// charge.
func (b Bank) Needed(whPerDay, days, coldFactor float64) (float64, error) {
	return tables.BankAmpHours(whPerDay, days, b.Depth, coldFactor, units.Volt(b.Volts))
}

// bankOf reads batteries that stand in parallel, each with those in series below it.
// What is not told is named.
func bankOf(parts []components.Part, c *circuit.Circuit, n *notes) (Bank, bool) {
	b := Bank{}
	known := true
	for i, p := range parts {
		b.IDs = append(b.IDs, p.ID)
		ah, charge, discharge := math.Inf(1), math.Inf(1), math.Inf(1) // the least in the string decides
		for _, id := range c.InSeries(p.ID) {
			q, _ := c.Doc.Part(id)
			chem, parallel, told := block(q, n)
			if !told {
				known = false
				break
			}
			own := q.Figure("capacity_ah").Value * parallel
			ah = math.Min(ah, own)
			if a := q.Figure("charge_a"); a.Known() {
				charge = math.Min(charge, a.Value*parallel)
			} else {
				charge = math.Min(charge, chem.ChargeRate.Usual*own)
				n.rest("charge limit of %s taken as %s A, %v of its capacity an hour", q.ID, num(chem.ChargeRate.Usual*own), chem.ChargeRate.Usual)
			}
			if a := q.Figure("discharge_a"); a.Known() {
				discharge = math.Min(discharge, a.Value*parallel)
			}
		}
		if math.IsInf(charge, 1) || !known {
			continue
		}
		if i == 0 {
			b.like(p, c.StringVolts(p), n)
		}
		b.AmpHours, b.ChargeA, b.DischargeA = b.AmpHours+ah, b.ChargeA+charge, b.DischargeA+discharge
	}
	return b, known && len(parts) > 0
}

// block reads what a battery has to tell; told is false where it does not.
func block(p components.Part, n *notes) (chem tables.Chemistry, parallel float64, told bool) {
	chem, ok := tables.BatteryChemistry(p.Word("chemistry"))
	switch {
	case !ok:
		n.miss(p.ID, "chemistry", "read the label")
	case !p.Figure("nominal_v").Known():
		n.miss(p.ID, "nominal_v", "read the label")
	case !p.Figure("capacity_ah").Known():
		n.miss(p.ID, "capacity_ah", "read the label")
	default:
		return chem, p.Figure("parallel").Value, true
	}
	return chem, 0, false
}

// like takes what the first battery of a bank tells of all.
func (b *Bank) like(p components.Part, volts float64, n *notes) {
	chem, _ := tables.BatteryChemistry(p.Word("chemistry"))
	b.Chemistry, b.Volts = chem, volts
	b.Coulombic, b.Peukert, b.Depth = chem.Efficiency.Coulombic, 1, chem.UsableDoD.Value
	if b.Lead() {
		b.Peukert = chem.Peukert
		n.rest("Peukert exponent of %s taken as %v", p.ID, chem.Peukert)
	}
	if d := p.Figure("usable_dod"); d.Known() {
		b.Depth = d.Value
	} else {
		n.rest("usable depth of %s taken as %.0f %%: common practice", p.ID, 100*b.Depth)
	}
}
