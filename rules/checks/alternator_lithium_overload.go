package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// LithiumOverload keeps charging from holding an alternator at full output.
var LithiumOverload = &rules.Rule{
	ID:    "alternator.lithium-overload",
	Title: "Charging holds an alternator above what it can give for long",
	Must:  "What charging draws from an alternator for long stays within half of its rating, or six tenths where its heat is sensed or it is cooled. A lithium bank hangs on an alternator only behind something that limits the current.",
	Basis: []rules.Basis{
		{Source: "an alternator at idle gives half its rating and cools badly; lithium takes all there is until it is full", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Check: lithiumOverload,
}

// drivingV is the voltage of a 12 V vehicle system while the engine runs, where a
// DC-DC charger's input current is judged.
const drivingV = 13.5

func lithiumOverload(p *rules.Pass) {
	for _, alt := range p.Doc.Parts() {
		if alt.Kind != &components.Alternator || alt.Gone() {
			continue
		}
		if t, ok := p.Circuit.At(alt.ID, "out", components.Pos); ok {
			net := p.Circuit.Net(t)
			if !directLithium(p, alt, net) {
				chargersOn(p, alt, net)
			}
		}
	}
}

// directLithium tells of a lithium bank on the alternator's own conductor, with
// nothing to limit what it takes.
func directLithium(p *rules.Pass, alt components.Part, net circuit.Term) bool {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Battery || q.Gone() || !lithium(q) {
			continue
		}
		t, ok := p.Circuit.At(q.ID, "pos", components.Pos)
		if !ok || p.Circuit.Net(t) != net {
			continue
		}
		if alt.Is("regulated") {
			return true
		}
		f := rules.Finding{
			At: string(alt.ID), Also: []string{string(q.ID)},
			Message: fmt.Sprintf("%s charges %s straight, with nothing to limit the current: lithium takes all that %s gives until it is full, and its windings overheat", alt.ID, q.ID, alt.ID),
			Working: []string{"no DC-DC charger and no regulator that senses the alternator's heat on the way"},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a regulator that senses the heat of %s", alt.ID), Edits: []components.Edit{set(alt.ID, "regulated", components.Yes(true))}}},
		}
		if rating := alt.Figure("rating_a"); rating.Known() {
			f.Working = append(f.Working, fmt.Sprintf("it gives %s A for long, half of %s A", numText(0.5*rating.Value), numText(rating.Value)))
		}
		if v := alt.Figure("regulated"); v.From == components.Default {
			f.RestsOn = []string{fmt.Sprintf("regulated of %s taken as no: %s", alt.ID, v.Field.DefaultFrom)}
		}
		p.Report(f)
		return true
	}
	return false
}

// chargersOn holds the DC-DC chargers behind an alternator to what it can give.
func chargersOn(p *rules.Pass, alt components.Part, net circuit.Term) {
	draw, working := 0.0, []string(nil)
	var also []string
	var chargers []components.Part
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.DCCharger || q.Gone() {
			continue
		}
		t, ok := p.Circuit.At(q.ID, "in", components.Pos)
		if !ok || p.Circuit.Net(t) != net {
			continue
		}
		i, step, missing := chargerInput(p, q, drivingV/12)
		if missing != "" {
			p.Unchecked(string(q.ID), fmt.Sprintf("%s of %s is not known, so what it draws from %s is not: read its label", missing, q.ID, alt.ID), string(alt.ID))
			return
		}
		draw += i
		working, also, chargers = append(working, step), append(also, string(q.ID)), append(chargers, q)
	}
	if len(chargers) == 0 {
		return
	}
	rating := alt.Figure("rating_a")
	if !rating.Known() {
		p.Unchecked(string(alt.ID), fmt.Sprintf("rating_a of %s is not known, and charging draws %s A from it: read its plate", alt.ID, numText(draw)), also...)
		return
	}
	share := 0.5
	if alt.Is("regulated") {
		share = 0.6
	}
	if draw <= share*rating.Value*1.001 {
		return
	}
	f := rules.Finding{
		At: string(alt.ID), Also: also, Level: rules.Violation,
		Message: fmt.Sprintf("Charging draws %s A from %s for hours; it is rated %s A and gives %s A that long", numText(draw), alt.ID, numText(rating.Value), numText(share*rating.Value)),
		Working: append(working, fmt.Sprintf("%s A > %v × %s A = %s A", numText(draw), share, numText(rating.Value), numText(share*rating.Value))),
	}
	if len(chargers) == 1 {
		out := chargers[0].Figure("output_a").Value
		if want := 5 * math.Floor(out*share*rating.Value/draw/5); want >= 5 {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit a DC-DC charger of %s A as %s", numText(want), chargers[0].ID), Edits: []components.Edit{set(chargers[0].ID, "output_a", components.Num(want))}}}
		}
	}
	p.Report(f)
}

// chargerInput is what a DC-DC charger draws at full output while its input holds
// a multiple of its nominal class, in A: I = out·V/(efficiency·V in), the output
// at the charging voltage of the bank behind it.
func chargerInput(p *rules.Pass, q components.Part, over float64) (amps float64, step, missing string) {
	for _, key := range []string{"output_a", "in_v", "out_v", "efficiency"} {
		if !q.Figure(key).Known() {
			return 0, "", key
		}
	}
	out, in, eff := q.Figure("output_a").Value, components.VoltClass(q.Figure("in_v").Value)*over, q.Figure("efficiency").Value
	volts := 1.2 * components.VoltClass(q.Figure("out_v").Value) // 14.4 V for each 12 V class
	if set := q.Figure("absorb_v"); set.Known() {
		volts = set.Value
	} else if t, ok := p.Circuit.At(q.ID, "out", components.Pos); ok {
		for _, s := range p.Circuit.Feeds(t) {
			b, _ := p.Doc.Part(s.Part)
			if v, ok := voltsOf(p, b); ok && b.Kind == &components.Battery {
				volts = v.Absorb
				break
			}
		}
	}
	amps = out * volts / (eff * in)
	return amps, fmt.Sprintf("%s: %s A × %s V / (%v × %s V) = %s A in", q.ID, numText(out), numText(volts), eff, numText(in), numText(amps)), ""
}
