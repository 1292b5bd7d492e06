package checks

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// inString are a battery and those in series below it, from the top down.
func inString(p *rules.Pass, q components.Part) []components.Part {
	all := []components.Part{q}
	for _, id := range p.Circuit.InSeries(q.ID)[1:] {
		o, _ := p.Doc.Part(id)
		all = append(all, o)
	}
	return all
}

// alone tells whether a battery is a string of its own.
func alone(p *rules.Pass, q components.Part) bool {
	return len(p.Circuit.InSeries(q.ID)) == 1 && !p.Circuit.Carries(q.ID)
}

// stringVolts are the voltages of a battery with those in series below it, in V.
type stringVolts struct {
	Nominal float64
	Blocks  float64 // of 12 V
	Trip    float64 // where the protection of its chemistry opens, or its charge is spent
	Absorb  float64
	Max     float64 // the highest charging voltage
}

// voltsOf adds them up; ok is false where a figure is missing.
func voltsOf(p *rules.Pass, q components.Part) (v stringVolts, ok bool) {
	for _, o := range inString(p, q) {
		chem, known := tables.BatteryChemistry(o.Word("chemistry"))
		if !known || !o.Figure("nominal_v").Known() {
			return v, false
		}
		nominal := o.Figure("nominal_v").Value * math.Max(1, o.Figure("series").Value)
		blocks := nominal / chem.NominalVoltage
		v.Nominal += nominal
		v.Blocks += blocks
		v.Trip += chem.CutOff.Trip * blocks
		v.Absorb += chem.ChargeVoltage.Absorb * blocks
		v.Max += chem.ChargeVoltage.Max * blocks
	}
	return v, true
}

// seriesAlike holds a battery to the one that it stands on in a string: the same
// current runs through both, and the charge divides by their voltages alone.
func seriesAlike(p *rules.Pass, top, under components.Part) {
	f := rules.Finding{At: string(top.ID), Also: []string{string(under.ID)}}
	chemA, chemB := top.Word("chemistry"), under.Word("chemistry")
	ahA, ahB := top.Figure("capacity_ah"), under.Figure("capacity_ah")
	a, b := ahA.Value*stringsOf(top), ahB.Value*stringsOf(under)
	switch {
	case chemA == "" || chemB == "":
		p.Unchecked(string(top.ID), fmt.Sprintf("the chemistry of %s or %s is not known, and they stand in series: read their labels", top.ID, under.ID), string(under.ID))
		return
	case chemA != chemB:
		f.Message = fmt.Sprintf("%s (%s) stands in series with %s (%s): no charge fills both, and one is driven past its limits", top.ID, chemA, under.ID, chemB)
	case ahA.Known() && ahB.Known() && math.Abs(a-b) > 0.05*math.Max(a, b):
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("%s of %s Ah stands in series with %s of %s Ah: the smaller one is empty first and is then driven on by the other", top.ID, numText(a), under.ID, numText(b))
		f.Working = []string{fmt.Sprintf("%s Ah against %s Ah: more than 5 %% apart", numText(a), numText(b))}
	default:
		return
	}
	f.Fixes = []rules.Fix{fitLike(under, top)}
	p.Report(f)
}

// overSeries holds all blocks of a drawn string to what the protection of each stands.
func overSeries(p *rules.Pass, top components.Part) {
	all := inString(p, top)
	n := 0.0
	for _, q := range all {
		n += math.Max(1, q.Figure("series").Value)
	}
	for _, q := range all {
		most := q.Figure("series_max")
		switch {
		case !most.Known() && lithium(q):
			p.Unchecked(string(q.ID), fmt.Sprintf("series_max of %s is not known, and it is one of %v blocks in series: its manual says how many its protection stands", q.ID, n))
		case most.Known() && n > most.Value:
			p.Report(rules.Finding{
				At: string(q.ID), Also: []string{string(top.ID)},
				Message: fmt.Sprintf("%s is one of %v blocks in series; its maker allows %v: its switch sees the whole string's voltage when it trips, and fails", q.ID, n, most.Value),
				Working: []string{fmt.Sprintf("%v > %v", n, most.Value)},
			})
		}
	}
}

// taps finds what takes from, or charges, a part of a string alone.
func taps(p *rules.Pass, top components.Part) {
	all := inString(p, top)
	for i, q := range all[:len(all)-1] {
		mid, ok := p.Circuit.At(q.ID, "neg", components.Neg)
		if !ok {
			continue
		}
		net := p.Circuit.Net(mid)
		bondInside(p, net, q, all[i+1])
		for _, o := range p.Doc.Parts() {
			switch o.Kind.Role {
			case components.Uses, components.Converts, components.Supplies, components.Distributes:
			default:
				continue
			}
			if o.Gone() || !slices.ContainsFunc(o.PortNames(), func(port string) bool { return onNet(p, o, port, net) }) {
				continue
			}
			p.Report(rules.Finding{
				At: string(o.ID), Also: []string{string(q.ID), string(all[i+1].ID)}, Level: rules.Violation,
				Message: fmt.Sprintf("%s is joined between %s and %s, which stand in series: it takes from or charges one of them alone, and the two drift apart. Feed it over a step-down from the whole string", o.ID, q.ID, all[i+1].ID),
			})
		}
	}
}

// bondInside finds what joins the point between two batteries in series to the frame: with
// the bank's own bond it shorts the lower one.
func bondInside(p *rules.Pass, net circuit.Term, upper, lower components.Part) {
	c := p.Circuit
	for _, l := range c.Links {
		if !l.Bond || !l.Closed {
			continue
		}
		if t, _ := c.BondEnds(l); c.Net(t) != net {
			continue
		}
		f := rules.Finding{
			At: l.Address(), Also: []string{string(upper.ID), string(lower.ID)},
			Message: fmt.Sprintf("%s joins the point between %s and %s, which stand in series, to the frame: where the negative of the bank is bonded too, %s is shorted over it", l.Address(), upper.ID, lower.ID, lower.ID),
			Causes:  onDCOf(p, inStringFrom(p, lower)),
		}
		if l.Run != "" {
			f.Fixes = []rules.Fix{{Title: "Remove " + string(l.Run), Edits: []components.Edit{components.RemoveRun{ID: l.Run}}}}
		} else {
			f.Fixes = []rules.Fix{{Title: "Remove the jumper " + string(l.Part), Edits: p.Doc.Delete(l.Part)}}
		}
		p.Report(f)
	}
}

// inStringFrom is the uppermost battery of the string that one stands in.
func inStringFrom(p *rules.Pass, q components.Part) components.Part {
	for _, o := range p.Doc.Parts() {
		if o.Kind == &components.Battery && !o.Gone() && !p.Circuit.Carries(o.ID) && slices.Contains(p.Circuit.InSeries(o.ID), q.ID) {
			return o
		}
	}
	return q
}

func onNet(p *rules.Pass, q components.Part, port string, net circuit.Term) bool {
	for _, pole := range []components.Pole{components.Pos, components.Neg} {
		if t, ok := p.Circuit.At(q.ID, port, pole); ok && p.Circuit.Net(t) == net {
			return true
		}
	}
	return false
}

// jointsWithin holds the run that joins two batteries in series to the devices through
// which the string is loaded: all its current passes it.
func jointsWithin(p *rules.Pass) {
	if !p.First() {
		return
	}
	for _, r := range p.Doc.Runs() {
		for _, l := range p.Circuit.LinksOf(r.ID) {
			if l.Core.From == l.Core.To || !l.Core.From.DC() || !l.Core.To.DC() {
				continue
			}
			if upper, lower, ok := seriesAt(p, l.A); ok {
				jointWithin(p, r, l.Core.From, upper, lower)
			}
		}
	}
}

func jointWithin(p *rules.Pass, r components.Run, pole components.Pole, upper, lower components.Part) {
	limit, also := 0.0, []string(nil)
	for _, top := range p.Doc.Parts() {
		if top.Kind != &components.Battery || p.Circuit.Carries(top.ID) || !slices.Contains(p.Circuit.InSeries(top.ID), upper.ID) {
			continue
		}
		post, _ := p.Circuit.At(top.ID, "pos", components.Pos)
		for _, out := range leads(p, post) {
			if out.Device == nil || !out.Device.RatingA.Known() {
				return // overcurrent.battery-unfused speaks, or overcurrent.rating-within-ampacity asks
			}
			limit += out.Device.RatingA.Value
			also = append(also, out.Device.Address())
		}
	}
	a, err := runAmpacity(p, r, pole)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return
	}
	level, over := overBy(limit, a, p.Circuit.StringVolts(upper))
	if !over {
		return
	}
	f := rules.Finding{
		At: string(r.ID), Also: also, Level: level,
		Message: fmt.Sprintf("%s (%s) joins %s and %s in series and is good for %s A, but only %s behind their string protects it", r.ID, r.Told("size"), upper.ID, lower.ID, numText(a.Usable), strings.Join(also, " and ")),
		Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A < %s A", numText(a.Usable), numText(limit))), RestsOn: a.RestsOn,
	}
	if size, ok := sizeFor(p, r, pole, limit); ok {
		f.Fixes = []rules.Fix{replaceBy(p.Doc, r, size)}
	}
	p.Report(f)
}

// overBy tells how far a limit is above what a DC conductor carries: not at all where
// the next standard size reaches it, by advice up to 150 % of the table below 50 V.
func overBy(limit float64, a tables.Ampacity, volts float64) (rules.Level, bool) {
	next, _ := standardAtLeast(a.Usable)
	switch {
	case limit <= a.Usable, limit <= next && limit <= 1.5*a.Table:
		return 0, false
	case volts < 50 && limit <= 1.5*a.Table:
		return rules.Advice, true
	case limit <= 1.5*a.Table:
		return rules.Violation, true
	}
	return rules.Danger, true
}
