package solve

import (
	"cmp"
	"math/cmplx"
	"slices"

	"rigline/components"
	"rigline/rules/circuit"
)

// LoadVoltage is the voltage at an AC load before and after a fault.
type LoadVoltage struct {
	Load          components.ID
	Rated         float64
	Before, After float64
}

// Percent is the voltage after, in per cent of the rated one.
func (v LoadVoltage) Percent() float64 { return 100 * v.After / v.Rated }

// BankCurrent is what a battery gives before and after a fault, in amperes, and
// the limit of its strings that are in; a limit of 0 is not known.
type BankCurrent struct {
	Battery       components.ID
	Before, After float64
	LimitA        float64
}

// Over tells whether the battery gives more than its strings may.
func (b BankCurrent) Over() bool { return b.LimitA > 0 && b.After > b.LimitA }

// GroundCurrent is the current of a ground core or of a bond.
type GroundCurrent struct {
	At   string // "W3", or the part that bonds
	Amps float64
}

// Outcome is a state after one fault.
type Outcome struct {
	Before, After *Solution
	Loads         []LoadVoltage // worst first
	Banks         []BankCurrent
	Ground        []GroundCurrent // what flows in ground conductors, largest first
	ResidualMA    float64         // what a ground-fault device at the site sees, mA
	SiteTrips     bool            // over 4 mA, the low end of a 4-6 mA device (UL 943)
}

// WhatIf solves a state again after a fault, its AC loads taken as the
// impedances that they have at rated voltage, before and after alike.
func WhatIf(c *circuit.Circuit, changes ...circuit.Change) (*Outcome, error) {
	after, err := c.After(changes...)
	if err != nil {
		return nil, err
	}
	o := &Outcome{Before: SolveWith(c, Options{LoadsAsImpedance: true})}
	var ok bool
	if o.After, ok = o.Before.again(after); !ok {
		o.After = SolveWith(after, Options{LoadsAsImpedance: true})
	}
	for _, p := range c.Doc.Parts() {
		if p.Gone() || p.Kind != &components.ACLoad {
			continue
		}
		a, b, rated, ok := LoadTerms(c, p)
		if !ok {
			continue
		}
		before, was := o.Before.Between(a, b)
		now, is := o.After.Between(a, b)
		if !was && !is {
			continue
		}
		o.Loads = append(o.Loads, LoadVoltage{p.ID, rated, cmplx.Abs(before), cmplx.Abs(now)})
	}
	slices.SortStableFunc(o.Loads, func(x, y LoadVoltage) int { return cmp.Compare(off(y), off(x)) })
	o.banks(after)
	o.ground(after)
	return o, nil
}

// banks lists what the batteries give.
func (o *Outcome) banks(c *circuit.Circuit) {
	for _, p := range c.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Battery {
			continue
		}
		b := BankCurrent{Battery: p.ID, Before: -o.Before.Flows[p.ID].DCAmps, After: -o.After.Flows[p.ID].DCAmps}
		if each := p.Figure("discharge_a"); each.Known() {
			b.LimitA = each.Value * c.Strings(p)
		}
		o.Banks = append(o.Banks, b)
	}
}

// off is how far a load is from its rated voltage, in per cent.
func off(v LoadVoltage) float64 {
	d := v.Percent() - 100
	if d < 0 {
		return -d
	}
	return d
}

// LoadTerms are the two terminals that an AC load hangs between, and its rated
// voltage.
func LoadTerms(c *circuit.Circuit, p components.Part) (a, b circuit.Term, volts float64, ok bool) {
	first, second, volts := components.L, components.N, c.Doc.MainsVolts()
	if p.Figure("hots").Value == 2 {
		first, second, volts = components.L1, components.L2, 2*volts
	}
	a, okA := c.At(p.ID, "in", first)
	b, okB := c.At(p.ID, "in", second)
	return a, b, volts, okA && okB
}

// ground lists what flows in ground cores and bonds, and what the site sees.
func (o *Outcome) ground(c *circuit.Circuit) {
	const trace = 1e-4 // A
	residual := map[components.ID]complex128{}
	for i, l := range c.Links {
		amps, ok := o.After.Amps(i)
		if !ok {
			continue
		}
		g := l.Run != "" && l.Core.From == components.G && l.Core.To == components.G
		if (g || l.Bond) && amps > trace {
			o.Ground = append(o.Ground, GroundCurrent{l.Address(), amps})
		}
		if r, isRun := c.Doc.Run(l.Run); isRun && !g {
			from, _ := c.Doc.Part(r.From.Part)
			to, _ := c.Doc.Part(r.To.Part)
			if from.Kind == &components.Shore || to.Kind == &components.Shore {
				i, _ := o.After.Current(i)
				residual[r.ID] += i
			}
		}
	}
	slices.SortStableFunc(o.Ground, func(a, b GroundCurrent) int { return cmp.Compare(b.Amps, a.Amps) })
	for _, i := range residual {
		o.ResidualMA = max(o.ResidualMA, 1000*cmplx.Abs(i))
	}
	o.SiteTrips = o.ResidualMA >= 4
}
