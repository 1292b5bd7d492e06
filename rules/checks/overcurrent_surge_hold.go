package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// SurgeHold asks that a device holds while something starts.
var SurgeHold = &rules.Rule{
	ID:    "overcurrent.surge-hold",
	Title: "A fuse may open when something starts",
	Must:  "The shortest opening time of a device at the inverters' surge current, at the lowest input voltage, is not below the time that the surge lasts.",
	Basis: []rules.Basis{
		{Source: "ISO 8820 and makers' curves", Says: "opening times of the family", Seen: rules.Memory},
		{Source: "a family that tells no least time is asked about from 2.5 times its rating on", Seen: rules.Practice},
	},
	Level: rules.Advice, Stateless: true,
	Check: surgeHold,
}

// askedFrom is the multiple of a rating from which it is asked how long a device holds
// whose curve tells no least time, as class T does not: below it such fuses are known to
// hold an inverter's surge (common practice, no source).
const askedFrom = 2.5

func surgeHold(p *rules.Pass) {
	seconds, rests := 0.0, []string(nil)
	for _, q := range p.Doc.Parts() {
		if (q.Kind == &components.Inverter || q.Kind == &components.InverterCharger) && q.Figure("surge_va").Known() && !q.Gone() {
			f := q.Figure("surge_s")
			seconds = math.Max(seconds, f.Value)
			if f.From == components.Default {
				rests = append(rests, fmt.Sprintf("surge time of %s not told: taken as %s s", q.ID, numText(f.Value)))
			}
		}
	}
	if seconds == 0 {
		return
	}
	d := p.Demand()
	for i, dev := range p.Circuit.Devices() {
		if l := &p.Circuit.Links[i]; !l.Closed || l.Join.APole != components.Pos || !dev.RatingA.Known() {
			continue
		}
		part, _ := p.Doc.Part(dev.Part)
		amps := math.Abs(d.Surging.Amps(i))
		if amps <= math.Abs(d.Drawing.Amps(i))*1.01 || amps <= dev.RatingA.Value {
			continue
		}
		holds, known := holdsAtMost(familyOf(part), dev.RatingA.Value, amps)
		least, _, _ := tables.FuseOpens(familyOf(part), dev.RatingA.Value, amps)
		if multiple := amps / dev.RatingA.Value; multiple >= askedFrom*1.0001 && least == 0 && (!known || holds >= seconds) {
			p.Unchecked(dev.Address(), fmt.Sprintf("no curve of the family of %s tells how long it holds, and the surge of the inverters drives %s A through it, %.3g times its rating, for %s s: ask its maker for the time-current curve", dev, numText(amps), multiple, numText(seconds)))
			continue
		}
		if !known || holds >= seconds {
			continue // a fuse of 125 % of the rated current passes a surge of twice that at 1.6 times its rating
		}
		p.Report(rules.Finding{
			At:      dev.Address(),
			Message: fmt.Sprintf("The surge of the inverters drives %s A through %s, %.3g times its rating, for %s s; it may open after %s s", numText(amps), dev, amps/dev.RatingA.Value, numText(seconds), numText(holds)),
			Working: []string{fmt.Sprintf("%s A / %s A = %.3g; shortest opening time of the family there %s s < %s s", numText(amps), numText(dev.RatingA.Value), amps/dev.RatingA.Value, numText(holds), numText(seconds))},
			RestsOn: rests, Fixes: holdingDevice(p, dev, familyOf(part), amps, seconds),
		})
	}
}

// holdsAtMost is how long a device holds a current, in s, at most: a current beyond the
// last point of its curve is held no longer than that of the point. Where no point on the
// way there promises anything nothing is known.
func holdsAtMost(family string, rating, amps float64) (seconds float64, known bool) {
	for a := amps; a > rating; a *= 0.99 {
		if holds, _, told := tables.FuseOpens(family, rating, a); told && holds > 0 {
			return holds, true
		}
	}
	return 0, false
}

// holdingDevice fits the smallest rating of the same family that holds a current
// for some seconds, with conductors that it protects.
func holdingDevice(p *rules.Pass, d circuit.Device, family string, amps, seconds float64) []rules.Fix {
	f, ok := tables.FuseFamily(family)
	if !ok || d.Place != "" {
		return nil
	}
	for _, r := range f.Ratings {
		if holds, _, known := tables.FuseOpens(family, r, amps); r > d.RatingA.Value && known && holds >= seconds {
			return largerDevice(p, d, r)
		}
	}
	return nil
}
