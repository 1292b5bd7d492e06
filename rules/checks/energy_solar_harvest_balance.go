package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/energy"
)

// HarvestBalance holds the array to the day's use in the month that counts.
var HarvestBalance = &rules.Rule{
	ID:    "energy.solar-harvest-balance",
	Title: "The sun brings less than the day takes",
	Must:  "Where nothing else is told to charge, an array of W watts and h full-sun hours brings the day's use: W · h · 0.70.",
	Basis: []rules.Basis{{Source: "seven tenths of the rating reach the bank", Seen: rules.Practice}},
	Level: rules.Advice, Stateless: true,
	Check: func(p *rules.Pass) { eachDay(p, func(c energy.Case, q components.Part) { harvestBalance(p, c) }) },
}

func harvestBalance(p *rules.Pass, c energy.Case) {
	suns, sun := []components.Part{}, 0.0
	var steps []string
	for _, s := range c.Sources {
		q, ok := p.Doc.Part(components.ID(s.Name))
		switch {
		case s.Kind == energy.Sun && ok:
			suns, sun = append(suns, q), sun+s.Watts*s.Hours
			steps = append(steps, fmt.Sprintf("%s: %s W × %v h = %s Wh, losses counted", q.ID, numText(s.Watts), s.Hours, numText(s.Watts*s.Hours)))
		case s.Hours > 0 || s.Always:
			sun += s.Watts * s.Hours
			steps = append(steps, fmt.Sprintf("%s: %s W × %v h = %s Wh", s.Name, numText(s.Watts), s.Hours, numText(s.Watts*s.Hours)))
		}
	}
	if len(suns) == 0 || len(p.Day().Missing) > 0 {
		return // what is missing is the energy page's to ask: this is advice
	}
	wh, working := dayWh(c)
	if sun >= wh*0.999 {
		return
	}
	q := suns[0]
	f := rules.Finding{
		At: string(q.ID), Also: []string{string(c.Bank.IDs[0])}, RestsOn: p.Day().RestsOn,
		Message: fmt.Sprintf("Sun and what else is told to charge bring %s Wh a day; the loads take %s Wh", numText(sun), numText(wh)),
		Working: append(append(working, steps...), fmt.Sprintf("%s Wh < %s Wh", numText(sun), numText(wh))),
	}
	one := q.Figure("series").Value * q.Figure("vmp_v").Value * q.Figure("imp_a").Value * q.Figure("yield").Value * q.Figure("sun_hours").Value
	if more := math.Ceil((wh - sun) / one); one > 0 && more > 0 && more+q.Figure("parallel").Value <= 24 {
		n := q.Figure("parallel").Value + more
		f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Fit %s strings in %s, if the roof has room", numText(n), q.ID), Edits: []components.Edit{set(q.ID, "parallel", components.Num(n))}}}
	}
	p.Report(f)
}
