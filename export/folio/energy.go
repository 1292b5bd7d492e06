package folio

import (
	"fmt"
	"math"
	"strings"

	"rigline/components"
	"rigline/export/lists"
	"rigline/rules/energy"
)

// day is a day's energy: what the loads take from each bank, what fills it, how long it
// goes, and what all of that rests on. A rig in which no load tells its hours has none.
func day(doc *components.Document) Chapter {
	c := Chapter{Name: "energy", Title: "A day's energy"}
	plan := energy.Of(doc)
	told, spread := false, false
	loads := lists.Table{Name: "energy-loads", Title: "Loads, at the bank", Head: []string{"bank", "load", "Wh a day", "of it lost on the way"}}
	sources := lists.Table{Name: "energy-sources", Title: "What fills it, in the order in which it is used", Head: []string{"bank", "source", "Wh taken on the day below", "full from empty"}}
	var hours []lists.Table
	for _, k := range plan.Cases {
		r := k.Work()
		told = told || r.LoadWh > 0
		bank := tags(k.Bank.IDs)
		e := Entry{Title: bank}
		for _, says := range verdict(r) {
			e.Lines = append(e.Lines, Line{Says: says})
		}
		c.Entries = append(c.Entries, e)
		for _, l := range k.Loads {
			spread = spread || !l.Untold && l.Hours > 0 && l.Hours < 24 && l.From == 0 && l.To == 24
			wh, lost := "hours not told", ""
			if !l.Untold {
				wh = fmt.Sprintf("%.0f", l.Wh())
				if loss := l.Loss * l.Hours; loss > 0 && loss < l.Wh()-0.5 {
					lost = fmt.Sprintf("%.0f Wh", loss)
				}
			}
			loads.Add(bank, called(doc, l.Name), wh, lost)
		}
		for j, s := range k.Sources {
			wh, full := fmt.Sprintf("%.0f", r.Course.Day.Total.Given[j]), "never"
			if s.Hours == 0 && s.Kind != energy.OtherBank {
				wh = "no hours a day told: not counted"
			}
			if x := r.Recharge[j]; x.Hours > 0 && !math.IsInf(x.Hours, 0) {
				full = fmt.Sprintf("%.1f h at %.0f A (%s)", x.Hours, x.Amps, x.Holds)
			}
			sources.Add(bank, called(doc, s.Name), wh, full)
		}
		if r.LoadWh > 0 {
			hours = append(hours, hourly(bank, r))
		}
	}
	if !told {
		return Chapter{}
	}
	c.Lines = append(c.Lines, "Watt-hours at the bank. From empty means from the usable depth, and of the sun in hours of full sun.")
	if spread {
		c.Lines = append(c.Lines, "A load that tells no hours of the day is spread over all of it.")
	}
	if len(plan.Idle) > 0 {
		c.Lines = append(c.Lines, "No bank carries "+tags(plan.Idle)+" off grid.")
	}
	if len(plan.Missing) > 0 {
		words := make([]string, len(plan.Missing))
		for i, m := range plan.Missing {
			words[i] = m.String()
		}
		c.Lines = append(c.Lines, "Not known, and left out of these figures: "+strings.Join(words, "; ")+".")
	}
	if len(plan.RestsOn) > 0 {
		c.Lines = append(c.Lines, "They rest on: "+strings.Join(plan.RestsOn, "; ")+".")
	}
	c.Tables = append([]lists.Table{loads, sources}, hours...)
	return c
}

// called is a tag with the name that its owner gave the part.
func called(doc *components.Document, tag string) string {
	if p, ok := doc.Part(components.ID(tag)); ok && p.Name != "" {
		return tag + " " + p.Name
	}
	return tag
}

// verdict is what a bank's day comes to, in sentences.
func verdict(r energy.Result) []string {
	b := r.Bank
	all := []string{fmt.Sprintf("%s, %.4g V, %.4g Ah: %.0f Wh usable", b.Chemistry.ID, b.Volts, b.AmpHours, b.UsableWh())}
	if r.LoadWh == 0 {
		return append(all, "no load of it tells its hours: there is no day to work out")
	}
	all = append(all, fmt.Sprintf("the loads take %.0f Wh a day", r.LoadWh))
	if !math.IsInf(r.Autonomy, 0) {
		all = append(all, fmt.Sprintf("without any charge it lasts %.1f days", r.Autonomy))
	}
	switch {
	case r.Course.Holds:
		all = append(all, fmt.Sprintf("such days can follow each other: lowest %.0f %% at %s", 100*r.Course.Day.Low, clock(r.Course.Day.LowAt)))
	case !math.IsInf(r.Course.Ends, 0):
		all = append(all, fmt.Sprintf("such days end the usable charge after %.1f days from full at midnight", r.Course.Ends))
	}
	if o := r.Other; o != nil {
		says := "would no longer do"
		if o.Holds {
			says = "would make the days follow each other"
		}
		all = append(all, fmt.Sprintf("begun at %s instead of %s, what is run by hand %s", clock(o.From), clock(energy.Starts), says))
	}
	if g := r.Generator; g.Needed {
		if math.IsInf(g.Value, 1) {
			all = append(all, g.Source+" does not make up for it in a whole day")
		} else if g.Value > 0 {
			all = append(all, fmt.Sprintf("%s has to run %.1f h a day to make up for it", g.Source, g.Value))
		}
	}
	for _, l := range r.Limits {
		all = append(all, "held back by: "+l)
	}
	return all
}

// hourly is the day of a bank by the hour.
func hourly(bank string, r energy.Result) lists.Table {
	t := lists.Table{Name: "energy-hours", Title: fmt.Sprintf("%s by the hour, day %d", bank, r.Course.Days),
		Head: []string{"hour", "load, Wh", "given, Wh", "could have been given, Wh", "not met, Wh", "charge at its end"}}
	for h, x := range r.Course.Day.Hours {
		given, spilled := 0.0, 0.0
		for j := range x.Given {
			given += x.Given[j]
			spilled += x.Spilled[j] + x.Clipped[j]
		}
		t.Add(fmt.Sprintf("%02d:00", h), fmt.Sprintf("%.0f", x.Load), fmt.Sprintf("%.0f", given), fmt.Sprintf("%.0f", spilled), fmt.Sprintf("%.0f", x.Unmet), fmt.Sprintf("%.0f %%", 100*x.SoC))
	}
	return t
}

// clock prints an hour of the day.
func clock(h float64) string {
	m := int(math.Round(h * 60))
	return fmt.Sprintf("%02d:%02d", m/60%24, m%60)
}
