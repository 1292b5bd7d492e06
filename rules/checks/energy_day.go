package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/energy"
)

// eachDay calls judge for each bank whose day is known, with its first battery.
func eachDay(p *rules.Pass, judge func(energy.Case, components.Part)) {
	if !p.First() {
		return
	}
	for _, c := range p.Day().Cases {
		if q, ok := p.Doc.Part(c.Bank.IDs[0]); ok {
			judge(c, q)
		}
	}
}

// wished is a figure that a person wants of a bank, told on any of its batteries.
func wished(p *rules.Pass, c energy.Case, key string) (components.Figure, components.ID) {
	for _, id := range c.Bank.IDs {
		top, ok := p.Doc.Part(id)
		if !ok {
			continue
		}
		for _, q := range inString(p, top) { // told at any battery of a string
			if q.Figure(key).Known() {
				return q.Figure(key), q.ID
			}
		}
	}
	return components.Figure{}, ""
}

// unknownDay asks for what a bank's day lacks. It tells whether anything does.
func unknownDay(p *rules.Pass, at components.ID, what string, fields ...string) bool {
	lacks := false
	for _, m := range p.Day().Missing {
		for _, f := range fields {
			if m.Field == f {
				lacks = true
				p.Unchecked(string(m.At), fmt.Sprintf("%s of %s is not told, so %s cannot be worked out: %s", m.Field, m.At, what, m.Find), string(at))
			}
		}
	}
	return lacks
}

// dayWh is what the loads of a bank take from it in a day, and the sum as a step.
func dayWh(c energy.Case) (wh float64, steps []string) {
	for _, l := range c.Loads {
		wh += l.Wh()
		steps = append(steps, fmt.Sprintf("%s: %s W × %v h = %s Wh", l.Name, numText(l.Watts), l.Hours, numText(l.Wh())))
	}
	return wh, append(steps, fmt.Sprintf("together %s Wh a day", numText(wh)))
}

// enlargeBank gives a bank more capacity: a like string at a time where the
// symbol stands for several, else larger blocks.
func enlargeBank(p *rules.Pass, c energy.Case, ah float64) []rules.Fix {
	q, _ := p.Doc.Part(c.Bank.IDs[0])
	own := q.Figure("capacity_ah").Value
	want := own + (ah-c.Bank.AmpHours)/stringsOf(q)
	want = 10 * math.Ceil(want/10-1e-9)
	return []rules.Fix{{Title: fmt.Sprintf("Fit blocks of %s Ah as %s", numText(want), q.ID), Edits: []components.Edit{set(q.ID, "capacity_ah", components.Num(want))}}}
}
