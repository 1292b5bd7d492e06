package checks

import (
	"fmt"
	"slices"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
)

// returnWithinDC holds the negative that leaves the port where a positive ends to
// the device ahead of that positive: it carries the same current.
func returnWithinDC(p *rules.Pass, f *fed) {
	r, ok := ownReturn(p, f.Run)
	if !ok || f.Feed.Source.Stores && !f.Feed.HasDevice() {
		return // overcurrent.battery-unfused speaks
	}
	if f.Over.is {
		return // the feed itself is too thin, and the same repair is due to both
	}
	back := *f
	back.Run, back.Pole = r, components.Neg
	limit, known := f.limit()
	if !known {
		return // asked for at the positive
	}
	a, err := runAmpacity(p, r, components.Neg)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return
	}
	level, over := overBy(limit, a, f.Feed.Source.Volts)
	if !over {
		return
	}
	next, _ := standardAtLeast(a.Usable)
	p.Report(rules.Finding{
		At: string(r.ID), Also: f.also(), Level: level,
		Message: fmt.Sprintf("%s (%s), the return of %s, is good for %s A, but only %s it", r.ID, r.Told("size"), f.Run.ID, numText(a.Usable), f.protects()),
		Working: append(slices.Clone(a.Working), fmt.Sprintf("%s A < %s A; next standard rating %s A; 150 %% of the table %s A", numText(a.Usable), numText(limit), numText(next), numText(1.5*a.Table))),
		Fixes:   sizeFixes(p, &back, a.Usable, limit), RestsOn: a.RestsOn,
	})
}

// returnKey asks for the return of a run.
type returnKey components.ID

// ownReturn is returnRun, looked for once while the rig is wired as it is.
func ownReturn(p *rules.Pass, run components.Run) (components.Run, bool) {
	return p.Doc.Run(circuit.Lasting(p.Circuit, returnKey(run.ID), func() components.ID {
		back, _ := returnRun(p.Doc, run)
		return back.ID
	}))
}

// returnRun is the one negative run that leaves the port at which a run of nothing
// but the positive ends, where nothing else ends there. A bar gathers many.
func returnRun(doc *components.Document, run components.Run) (components.Run, bool) {
	if cores := doc.CoresOf(run); len(cores) != 1 || cores[0].From != components.Pos {
		return components.Run{}, false
	}
	for _, ref := range []components.PortRef{run.From, run.To} {
		_, port, ok := doc.Port(ref)
		if !ok || !port.Has(components.Neg) {
			continue
		}
		var back []components.Run
		positives := 0
		for _, o := range doc.RunsAt(ref) {
			cores := doc.CoresOf(o)
			switch {
			case o.Gone() || len(cores) == 0:
			case len(cores) == 1 && cores[0].From == components.Neg:
				back = append(back, o)
			default:
				positives++
			}
		}
		if len(back) == 1 && positives == 1 {
			return back[0], true
		}
	}
	return components.Run{}, false
}

// replaceBy gives a run another size, and with it a return that is thinner.
func replaceBy(doc *components.Document, run components.Run, size units.Size) rules.Fix {
	what, edits := string(run.ID), []components.Edit{set(run.ID, "size", components.Str(size.String()))}
	if back, ok := returnRun(doc, run); ok {
		if now, told := back.Size(components.Neg); told && now.Less(size) {
			what += " and its return " + string(back.ID)
			edits = append(edits, set(back.ID, "size", components.Str(size.String())))
		}
	}
	return rules.Fix{Title: fmt.Sprintf("Replace %s by %s", what, size), Edits: edits}
}
