package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// DemandWithinMain holds a main or feeder breaker to the demand behind it.
var DemandWithinMain = &rules.Rule{
	ID:    "load.demand-within-main",
	Title: "The loads ask for more than the main gives",
	Must:  "The demand on each leg is within the breaker that feeds it: loads that never run together count once, the largest motor and what runs for hours at 125 %, but at what they take by IEC 60364.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.42(D); 220.60; 220.50, 430.24", Says: "loads that cannot coincide count once; the largest motor at 125 %", Seen: rules.Published, Set: components.USVehicle},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.42(A)-(C)", Says: "a vehicle's supply follows from its number of circuits, so a sum above the main is a matter of use where the parts of it need not run for hours", Seen: rules.Memory, Set: components.USVehicle},
		coordination,
	},
	Level: rules.Violation,
	Check: demandWithinMain,
}

func demandWithinMain(p *rules.Pass) {
	askPower(p)
	if p.Solution().Failure != nil {
		return
	}
	for i, d := range p.Circuit.Devices() {
		l := &p.Circuit.Links[i]
		if !l.Closed || !l.Join.APole.Hot() || !d.RatingA.Known() {
			continue // overcurrent.rating-above-continuous asks for the rating
		}
		amps, ok := p.Solution().Amps(i)
		if !ok || !overMain(d, amps) || !isMain(p, d) {
			continue // with a margin at most: overcurrent.rating-above-continuous
		}
		demandBehind(p, d, i, *l, atNominal(p, i, amps))
	}
}

// overMain tells whether more than its rating runs through a device. A charger that fills
// up what its limit leaves runs to the limit itself, give or take a rounding.
func overMain(d circuit.Device, amps float64) bool { return amps > d.RatingA.Value*1.001 }

// askPower asks for what a load takes that runs in this state.
func askPower(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.ACLoad || q.Gone() || !fedIn(p, q) || !switchedOn(p.State, q.ID) {
			continue
		}
		if !q.Figure("va").Known() {
			p.Unchecked(string(q.ID), fmt.Sprintf("va of %s is not known, so no wire, breaker, inverter or source is held to what it draws: read its plate (VA, W, or A × V), or measure it running", q.ID))
		}
		askMarked(p, q, "continuous", "whether it counts at 125 % is not: tell whether it may run for three hours or more")
	}
}

func demandBehind(p *rules.Pass, d circuit.Device, link int, l circuit.Link, amps float64) {
	rating := d.RatingA.Value
	spared, motor := groupsAndMotor(p, link)
	continuous := math.Min(amps, continuousAmps(p, link))
	margin := 0.25
	if european(p.Doc) {
		margin = 0
	}
	demand := amps - spared + margin*motor + margin*continuous
	if demand <= rating*1.001 {
		return
	}
	f := rules.Finding{
		At:      d.Address(),
		Message: fmt.Sprintf("%s is %s A, but the loads behind it ask for %s A: not everything can run at once", d, numText(rating), numText(demand)),
		Working: []string{fmt.Sprintf("all on %s A − never together %s A + 25 %% × largest motor %s A + 25 %% × for hours %s A = %s A > %s A",
			numText(amps), numText(spared), numText(motor), numText(continuous), numText(demand), numText(rating))},
		Level: rules.Advice,
		Fixes: limitInputFix(p, d),
	}
	if european(p.Doc) {
		f.Working = []string{fmt.Sprintf("all on %s A − never together %s A = %s A > %s A", numText(amps), numText(spared), numText(demand), numText(rating))}
	}
	if hours := (1+margin)*continuous + margin*motor; hours > rating*1.001 {
		f.Level = rules.Violation
		f.Message = fmt.Sprintf("%s is %s A, but what runs for hours behind it asks for %s A alone", d, numText(rating), numText(hours))
		if european(p.Doc) {
			f.Working = append(f.Working, fmt.Sprintf("for hours: %s A > %s A", numText(hours), numText(rating)))
		} else {
			f.Working = append(f.Working, fmt.Sprintf("for hours: 125 %% × %s A + 25 %% × %s A = %s A > %s A", numText(continuous), numText(motor), numText(hours), numText(rating)))
		}
		f.Fixes = otherLeg(p, d, link)
	}
	p.Report(f)
}

// groupsAndMotor are the amperes that interlocked loads behind a link spare each
// other, and those of the largest motor, by the loads that are cut off when the
// link opens.
func groupsAndMotor(p *rules.Pass, link int) (spared, motor float64) {
	sum, most := map[string]float64{}, map[string]float64{}
	for q := range eatersBehind(p, link) {
		if q.Kind != &components.ACLoad {
			continue
		}
		a := chargerOrLoadAmps(p, q)
		if q.Is("motor") {
			motor = math.Max(motor, a)
		}
		if g := q.Word("never_with"); g != "" {
			sum[g] += a
			most[g] = math.Max(most[g], a)
		}
	}
	for g := range sum {
		spared += sum[g] - most[g]
	}
	return spared, motor
}

// otherLeg moves one circuit of the overloaded leg of a panel to the other leg,
// the smallest whose move leaves both within the main.
func otherLeg(p *rules.Pass, d circuit.Device, link int) []rules.Fix {
	q, _ := p.Doc.Part(d.Part)
	if q.Kind != &components.Panel || d.Place != "main" || q.Figure("legs").Value != 2 || q.Is("legs_bridged") {
		return nil
	}
	leg := string(p.Circuit.Links[link].Join.BPole)
	rows := q.Rows("circuits")
	for i, row := range rows {
		if row["leg"].Str() != leg || len(p.Doc.RunsAt(q.Ref(fmt.Sprintf("c%d", i+1)))) == 0 {
			continue
		}
		to := "L2"
		if leg == "L2" {
			to = "L1"
		}
		moved := append(append(append([]components.Spec{}, rows[:i]...), row.With("leg", components.Str(to))), rows[i+1:]...)
		edit := set(q.ID, "circuits", components.Table(moved...))
		if legsWithin(p, q, edit) {
			return []rules.Fix{{Title: fmt.Sprintf("Move %s of %s to %s", circuitName(row, i), q.ID, to), Edits: []components.Edit{edit}}}
		}
	}
	return nil
}

// legsWithin tells whether no leg's breakers' loads for hours exceed the main
// after an edit, by the power that each circuit's loads are told to take.
func legsWithin(p *rules.Pass, q components.Part, edit components.Edit) bool {
	next, err := p.Doc.Apply(edit)
	if err != nil {
		return false
	}
	after := circuit.Build(next, p.State)
	main := q.Figure("main_a")
	sum := map[components.Pole]float64{}
	for _, l := range next.Parts() {
		if l.Kind != &components.ACLoad || l.Gone() || !l.Is("continuous") {
			continue
		}
		for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
			t, ok := after.At(l.ID, "in", pole)
			if !ok {
				continue
			}
			for _, bar := range []components.Pole{components.L1, components.L2} {
				if b, ok := after.At(q.ID, "bar", bar); ok && after.Net(b) == after.Net(t) {
					sum[bar] += l.Figure("va").Value / p.Doc.MainsVolts() / float64(len(poles(l)))
				}
			}
		}
	}
	return 1.25*sum[components.L1] <= main.Value && 1.25*sum[components.L2] <= main.Value
}

// poles are the hots that a load hangs on.
func poles(q components.Part) []components.Pole {
	if q.Figure("hots").Value == 2 {
		return []components.Pole{components.L1, components.L2}
	}
	return []components.Pole{components.L}
}
