package checks

import (
	"fmt"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
)

// CordAmpacity holds the shore cord to the supply that it brings.
var CordAmpacity = &rules.Rule{
	ID:    "cord.ampacity",
	Title: "The shore cord is too small",
	Must:  "Cord and extension carry the rating of the inlet, or of the outlet or carried generator where that is smaller: 10 AWG for 30 A, 6 AWG lines and neutral for 50 A. What lies between them is a flexible cord.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.46, Table 400.5(A)(1)", Says: "the cord carries the assembly's rating", Seen: rules.Published},
		{Source: "make-up of listed cord sets", Says: "14 AWG 15 A, 12 AWG 20 A, 10 AWG 30 A, 6 AWG 50 A with an 8 AWG ground", Seen: rules.Practice},
	},
	Set:   components.USVehicle,
	Level: rules.Danger, OnePerPlace: true,
	Check: cordAmpacity,
}

// madeUp is the size that a listed cord set of a rating has.
var madeUp = map[float64]string{15: "14 AWG", 16: "2.5 mm2", 20: "12 AWG", 30: "10 AWG", 50: "6 AWG"}

// cords calls look for each run between a site outlet and an inlet.
func cords(p *rules.Pass, look func(shore, inlet components.Part, r components.Run)) {
	for _, r := range p.Doc.Runs() {
		if r.Gone() {
			continue
		}
		a, _ := p.Doc.Part(r.From.Part)
		b, _ := p.Doc.Part(r.To.Part)
		if b.Kind == &components.Shore {
			a, b = b, a
		}
		if isLead(p, r) && !a.Gone() && !b.Gone() {
			look(a, b, r)
		}
	}
}

// isLead tells whether a run lies between a site outlet and an inlet.
func isLead(p *rules.Pass, r components.Run) bool {
	a, _ := p.Doc.Part(r.From.Part)
	b, _ := p.Doc.Part(r.To.Part)
	return a.Kind == &components.Shore && b.Kind == &components.Inlet || b.Kind == &components.Shore && a.Kind == &components.Inlet
}

// isGeneratorLead tells whether a run lies between a generator and an inlet.
func isGeneratorLead(p *rules.Pass, r components.Run) bool {
	a, _ := p.Doc.Part(r.From.Part)
	b, _ := p.Doc.Part(r.To.Part)
	return a.Kind == &components.Generator && b.Kind == &components.Inlet && r.To.Port == "site" || b.Kind == &components.Generator && a.Kind == &components.Inlet && r.From.Port == "site"
}

// listedSet tells whether a run is a cord set that its listing speaks for: one that
// plugs into an inlet. Elsewhere its construction is that of any flexible cord.
func listedSet(p *rules.Pass, r components.Run) bool {
	return r.Told("cable").Str() == "cord-shore" && (isLead(p, r) || isGeneratorLead(p, r))
}

func cordAmpacity(p *rules.Pass) {
	if p.State.Generator {
		generatorCords(p)
	}
	if p.State.Shore == "" {
		return
	}
	cords(p, func(shore, inlet components.Part, r components.Run) {
		cordHolds(p, inlet, r, min(inlet.Figure("rating_a").Value, components.ServiceAmps(p.Circuit.Service(shore))))
	})
}

// generatorCords holds the cord of a carried generator to its breaker, or to the inlet
// where that is smaller or the breaker is not known.
func generatorCords(p *rules.Pass) {
	for _, r := range p.Doc.Runs() {
		if r.Gone() || !isGeneratorLead(p, r) {
			continue
		}
		gen, _ := p.Doc.Part(r.From.Part)
		inlet, _ := p.Doc.Part(r.To.Part)
		if gen.Kind != &components.Generator {
			gen, inlet = inlet, gen
		}
		if gen.Gone() || inlet.Gone() {
			continue
		}
		need := inlet.Figure("rating_a").Value
		if breaker := gen.Figure("breaker_a"); breaker.Known() && gen.Is("output_breaker") {
			need = min(need, breaker.Value)
		}
		for _, made := range []float64{15, 20, 30, 50} {
			if need <= made {
				cordHolds(p, inlet, r, made)
				break
			}
		}
	}
}

// cordHolds holds one cord to the amperes that its two ends give and take.
func cordHolds(p *rules.Pass, inlet components.Part, r components.Run, need float64) {
	cable, ok := r.Cable()
	switch {
	case need == 0:
	case !ok:
		p.Unchecked(string(r.ID), fmt.Sprintf("the construction of the cord %s is not known: read it off the jacket", r.ID))
	case cable.Table != components.FlexibleCord:
		p.Report(rules.Finding{
			At: string(r.ID), Also: []string{string(inlet.ID)}, Level: rules.Violation,
			Message: fmt.Sprintf("%s lies between outlet and inlet and is %s, no flexible cord: it breaks where it bends", r.ID, cable.Title),
			Fixes:   []rules.Fix{cordSet(r, need)},
		})
	case cable.ID == "cord-shore":
		listedCord(p, inlet, r, need)
	default:
		looseCord(p, inlet, r, need)
	}
}

// cordSet is the repair: a listed cord set of the rating.
func cordSet(r components.Run, need float64) rules.Fix {
	edits := []components.Edit{set(r.ID, "cable", components.Str("cord-shore")), set(r.ID, "size", components.Str(madeUp[need]))}
	if need == 50 {
		edits = append(edits, set(r.ID, "ground_size", components.Str("8 AWG")))
	} else if r.Told("ground_size").Told() {
		edits = append(edits, set(r.ID, "ground_size", components.Value{}))
	}
	return rules.Fix{Title: fmt.Sprintf("Use a listed %s A cord set of %s as %s", numText(need), madeUp[need], r.ID), Edits: edits}
}

// listedCord holds a cord set to the make-up of one of the rating.
func listedCord(p *rules.Pass, inlet components.Part, r components.Run, need float64) {
	size, ok := r.Size(components.N)
	if !ok {
		p.Unchecked(string(r.ID), fmt.Sprintf("the size of the cord %s is not known: read it off the jacket (%s for %s A)", r.ID, madeUp[need], numText(need)))
		return
	}
	want, err := units.ParseSize(madeUp[need])
	if err != nil || size.Metric() != want.Metric() || !size.Less(want) {
		return
	}
	p.Report(rules.Finding{
		At: string(r.ID), Also: []string{string(inlet.ID)},
		Message: fmt.Sprintf("The cord %s is %s; a %s A set has %s. What feeds it lets it run at %s A until it melts", r.ID, size, numText(need), want, numText(need)),
		Working: []string{fmt.Sprintf("%s < %s", size, want)},
		Fixes:   []rules.Fix{cordSet(r, need)},
	})
}

// looseCord holds a cord that is no listed set to the table.
func looseCord(p *rules.Pass, inlet components.Part, r components.Run, need float64) {
	pole := components.L
	if _, port, _ := p.Doc.Port(r.From); !port.Has(components.L) {
		pole = components.L1
	}
	a, err := runAmpacity(p, r, pole)
	if err != nil {
		p.Unchecked(string(r.ID), err.Error())
		return
	}
	if a.Usable >= need || ampacitySpeaks(p, r, a.Usable) {
		return
	}
	p.Report(rules.Finding{
		At: string(r.ID), Also: []string{string(inlet.ID)},
		Message: fmt.Sprintf("The cord %s (%s) is good for %s A; the supply is %s A", r.ID, r.Told("size"), numText(a.Usable), numText(need)),
		Working: append(append([]string{}, a.Working...), fmt.Sprintf("%s A < %s A", numText(a.Usable), numText(need))),
		RestsOn: a.RestsOn,
		Fixes:   []rules.Fix{cordSet(r, need)},
	})
}

// ampacitySpeaks tells whether conductor.ampacity-covers-overcurrent reports the
// same run in this state.
func ampacitySpeaks(p *rules.Pass, r components.Run, usable float64) bool {
	for i, l := range p.Circuit.LinksOf(r.ID) {
		if !l.Core.From.Hot() {
			continue
		}
		for _, f := range p.Feeds()[i] {
			if next, ok := standardAtLeast(usable); f.LimitA > usable && (!ok || next < f.LimitA) {
				return true
			}
		}
	}
	return false
}

// CordAdapter asks for a main of the vehicle's own rating behind a larger outlet.
var CordAdapter = &rules.Rule{
	ID:    "cord.adapter-changes-protection",
	Title: "An adapter leaves the cord behind a larger breaker",
	Must:  "Where an adapter takes a small vehicle to a larger outlet, the vehicle has a main breaker of its own rating: the site's no longer protects its cord and inlet.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "240.4, 240.5; 551.45(C)", Says: "cord and feeder within their protection", Seen: rules.Published},
		{Source: "commentary on NEC 551.71", Says: "adapters defeat the match of outlet and vehicle", Seen: rules.Published},
	},
	Set:   components.USVehicle,
	Level: rules.Danger,
	Check: cordAdapter,
}

func cordAdapter(p *rules.Pass) {
	if p.State.Shore == "" {
		return
	}
	cords(p, func(shore, inlet components.Part, r components.Run) {
		site, rating := components.ServiceAmps(p.Circuit.Service(shore)), inlet.Figure("rating_a").Value
		if site <= rating || rating == 0 {
			return
		}
		main, bare, unknown := mainBehind(p, inlet)
		f := rules.Finding{At: string(r.ID), Also: []string{string(inlet.ID), string(shore.ID)}}
		f.Working = []string{fmt.Sprintf("site breaker %s A > inlet and cord %s A", numText(site), numText(rating))}
		switch {
		case unknown:
			p.Unchecked(string(inlet.ID), fmt.Sprintf("the rating of the first breaker behind %s is not known: read it off its handle", inlet.ID))
			return
		case bare || main > rating:
			f.Message = fmt.Sprintf("%s brings a %s A outlet to the %s A inlet %s, and no breaker of %s A or less stands behind it: cord and inlet burn before the site's breaker opens", r.ID, numText(site), numText(rating), inlet.ID, numText(rating))
			f.Fixes = append(matchingOutlet(p, shore, inlet, r), mainAtInlet(p, inlet)...)
		default:
			f.Level = rules.Advice
			f.Message = fmt.Sprintf("%s brings a %s A outlet to the %s A inlet %s: a short in the cord waits for the site's %s A breaker, and an overload for the vehicle's main", r.ID, numText(site), numText(rating), inlet.ID, numText(site))
		}
		p.Report(f)
	})
}

// mainBehind is the largest first breaker behind an inlet; bare tells that a way
// leads to none.
func mainBehind(p *rules.Pass, inlet components.Part) (largest float64, bare, unknown bool) {
	for _, pole := range []components.Pole{components.L, components.L1, components.L2} {
		from, ok := p.Circuit.At(inlet.ID, "rig", pole)
		if !ok {
			continue
		}
		_, devices, open := toDevices(p, from)
		for _, t := range open {
			bare = bare || len(p.Circuit.LinksAt(t)) > 0
		}
		bare = bare || len(devices) == 0
		sum := 0.0
		for _, d := range devices {
			unknown = unknown || !d.RatingA.Known()
			sum += d.RatingA.Value
		}
		largest = max(largest, sum)
	}
	return largest, bare, unknown && !bare
}

// matchingOutlet plugs into the outlet of the inlet's own rating.
func matchingOutlet(p *rules.Pass, shore, inlet components.Part, r components.Run) []rules.Fix {
	service := map[float64]string{15: "15a-120", 20: "20a-120", 30: "30a-120"}[inlet.Figure("rating_a").Value]
	if service == "" {
		return nil
	}
	plug := r
	plug.Cores = nil
	edits := []components.Edit{components.RemoveRun{ID: r.ID}, set(shore.ID, "service", components.Str(service)), components.AddRun{Run: plug}}
	if _, err := p.Doc.Apply(edits...); err != nil {
		return nil
	}
	return []rules.Fix{{Title: fmt.Sprintf("Plug %s into the site's %s A outlet", r.ID, numText(inlet.Figure("rating_a").Value)), Edits: edits}}
}

// mainAtInlet puts a breaker of the inlet's rating behind it.
func mainAtInlet(p *rules.Pass, inlet components.Part) []rules.Fix {
	ref := inlet.Ref("rig")
	runs := p.Doc.RunsAt(ref)
	rating := inlet.Figure("rating_a").Value
	if len(runs) != 1 {
		return nil
	}
	r := runs[0]
	_, near, _ := p.Doc.Port(ref)
	_, far, _ := p.Doc.Port(r.Other(ref))
	if far.Has(components.L) != near.Has(components.L) {
		return nil
	}
	hots := 1.0
	if near.Has(components.L1) {
		hots = 2
	}
	breaker := components.Part{ID: p.Doc.FreeID("CB"), Kind: &components.ACBreaker, At: towards(p.Doc, ref, r.Other(ref)),
		Spec: components.Spec{"rating_a": components.Num(rating), "hots": components.Num(hots)}}
	line, load := "line", "load"
	if r.From != ref {
		line, load = load, line
	}
	return []rules.Fix{{Title: fmt.Sprintf("Put a %s A main breaker behind %s", numText(rating), inlet.ID), Edits: insert(p.Doc, r, breaker, line, load, 1)}}
}
