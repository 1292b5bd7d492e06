package checks

import (
	"fmt"
	"maps"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// BusbarRating holds every section of a bar to its rating.
var BusbarRating = &rules.Rule{
	ID:    "busbar.rating",
	Title: "A bus bar carries more than its rating",
	Must:  "The current across the busiest section of a bus bar, by the order of the lugs along it, stays within its rating; so does what a fuse block's bus takes in. A bar of the array carries 125 % of the short-circuit current.",
	Basis: []rules.Basis{
		{Source: "the device's rating", Seen: rules.Practice},
		{Source: "NFPA 70 (NEC) 2017", Clause: "690.8(A)(1)", Says: "125 % of the short-circuit current, for bright sun", Seen: rules.Published},
		{Source: "a bar without one: copper at 1000 A a square inch", Seen: rules.Practice},
	},
	Level: rules.Danger, Stateless: true,
	Check: busbarRating,
}

func busbarRating(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		switch {
		case q.Gone():
		case q.Kind == &components.Busbar:
			pole := components.Pole(q.Word("pole"))
			if t, ok := p.Circuit.At(q.ID, "bar", pole); ok && pole.DC() {
				barRating(p, q, t)
			}
		case q.Kind == &components.DCPanel:
			if t, ok := p.Circuit.At(q.ID, "feed", components.Pos); ok {
				blockRating(p, q, t)
			}
		}
	}
}

// lug is a run on a bar with what it brings in, A, in one way of loading.
type lug struct {
	run  components.ID
	amps float64
}

// lugsAt are the runs on a bar while everything draws, and while everything
// charges.
func lugsAt(p *rules.Pass, t circuit.Term) (drawing, charging []lug) {
	d := p.Demand()
	for _, i := range p.Circuit.LinksAt(t) {
		l := p.Circuit.Links[i]
		if l.Run == "" {
			continue
		}
		sign := 1.0
		if l.A == t {
			sign = -1
		}
		drawing = append(drawing, lug{l.Run, sign * d.Drawing.Amps(int(i))})
		charging = append(charging, lug{l.Run, sign * d.Charging.Amps(int(i))})
	}
	return drawing, charging
}

func inflow(lugs []lug) float64 {
	sum := 0.0
	for _, l := range lugs {
		sum += math.Max(0, l.amps)
	}
	return sum
}

func barRating(p *rules.Pass, q components.Part, t circuit.Term) {
	drawing, charging := lugsAt(p, t)
	most := math.Max(inflow(drawing), inflow(charging))
	sun, missing := sunLugs(p, t)
	if missing != "" {
		p.Unchecked(string(missing), fmt.Sprintf("isc_a of %s is not known, so what %s has to carry is not: read the label on the back of a module", missing, q.ID), string(q.ID))
	}
	if inflow(sun) > most {
		drawing, charging, most = sun, sun, inflow(sun)
	}
	rating := q.Figure("rating_a")
	if !rating.Known() {
		if most > 0 {
			enough := numText(math.Ceil(most)) + " A is always enough"
			if on := p.Circuit.LinksAt(t); openDemand(p, on...) || missing != "" {
				enough = leastText(p, most, on...)
			}
			p.Unchecked(string(q.ID), fmt.Sprintf("rating_a of %s is not known: read it off the bar, or take 1000 A for a square inch of copper (%s)", q.ID, enough))
		}
		return
	}
	if most <= rating.Value*1.001 {
		askDemand(p, t, string(q.ID))
		return
	}
	order, told, err := lugOrder(q, drawing)
	if err != "" {
		p.Unchecked(string(q.ID), err)
		return
	}
	best, bestOrder := leastSection(drawing, charging)
	section := best
	if told {
		section = math.Max(worstSection(order, drawing), worstSection(order, charging))
	}
	if section <= rating.Value*1.001 {
		if !told {
			p.Unchecked(string(q.ID), fmt.Sprintf("%s A meet on %s, rated %s A, and whether one section carries them hangs on the order of its lugs: look, and tell order (%s would do)", numText(most), q.ID, numText(rating.Value), strings.Join(words(bestOrder), " ")))
		}
		return
	}
	f := rules.Finding{
		At: string(q.ID), Level: rules.Violation,
		Message: fmt.Sprintf("A section of %s carries %s A; it is rated %s A", q.ID, numText(section), numText(rating.Value)),
	}
	lugs := drawing
	if inflow(charging) > inflow(drawing) {
		lugs = charging
	}
	for _, l := range lugs {
		f.Working = append(f.Working, fmt.Sprintf("%s brings %s A", l.run, numText(math.Round(10*l.amps)/10)))
	}
	if section > 1.25*rating.Value {
		f.Level = rules.Danger
	}
	if told && best <= rating.Value {
		f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Land the lugs of %s in the order %s", q.ID, strings.Join(words(bestOrder), " ")), Edits: []components.Edit{set(q.ID, "order", components.Str(strings.Join(words(bestOrder), " ")))}})
	}
	if by50(most) <= 2000 { // above it is a short, not a load
		f.Fixes = append(f.Fixes, rules.Fix{Title: fmt.Sprintf("Fit a bar of %s A as %s", numText(by50(most)), q.ID), Edits: []components.Edit{set(q.ID, "rating_a", components.Num(by50(most)))}})
	}
	p.Report(f)
}

// lugOrder reads the told order of a bar's runs.
func lugOrder(q components.Part, lugs []lug) (order []components.ID, told bool, wrong string) {
	text := q.Word("order")
	if text == "" {
		return nil, false, ""
	}
	on := map[components.ID]bool{}
	for _, l := range lugs {
		on[l.run] = true
	}
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r == ' ' || r == ',' || r == ';' }) {
		if id := components.ID(w); on[id] {
			order = append(order, id)
			delete(on, id)
		}
	}
	for _, id := range slices.SortedFunc(maps.Keys(on), components.CompareIDs) {
		return nil, false, fmt.Sprintf("order of %s does not name %s, which lands there: tell every run from one end to the other", q.ID, id)
	}
	return order, true, ""
}

// worstSection is the largest current between two neighbouring lugs.
func worstSection(order []components.ID, lugs []lug) float64 {
	in := map[components.ID]float64{}
	for _, l := range lugs {
		in[l.run] += l.amps
	}
	sum, worst := 0.0, 0.0
	for _, id := range order[:max(0, len(order)-1)] {
		sum += in[id]
		worst = math.Max(worst, math.Abs(sum))
	}
	return worst
}

// leastSection is the busiest section of the best order of the lugs. Up to seven
// lugs every order is tried; with more, each section is only known to carry half of
// what meets there or more.
func leastSection(drawing, charging []lug) (float64, []components.ID) {
	var ids []components.ID
	for _, l := range drawing {
		if !slices.Contains(ids, l.run) {
			ids = append(ids, l.run)
		}
	}
	if len(ids) > 7 {
		return balanced(ids, drawing, charging)
	}
	best, bestOrder := math.Inf(1), slices.Clone(ids)
	var try func(int)
	try = func(k int) {
		if k == len(ids) {
			if w := math.Max(worstSection(ids, drawing), worstSection(ids, charging)); w < best-1e-9 {
				best, bestOrder = w, slices.Clone(ids)
			}
			return
		}
		for i := k; i < len(ids); i++ {
			ids[k], ids[i] = ids[i], ids[k]
			try(k + 1)
			ids[k], ids[i] = ids[i], ids[k]
		}
	}
	try(0)
	return best, bestOrder
}

// balanced lays many lugs so that what comes in and what goes out alternate.
func balanced(ids []components.ID, drawing, charging []lug) (float64, []components.ID) {
	in := map[components.ID]float64{}
	for _, l := range drawing {
		in[l.run] += l.amps
	}
	left := slices.Clone(ids)
	var order []components.ID
	sum := 0.0
	for len(left) > 0 {
		at := 0
		for i := range left {
			if math.Abs(sum+in[left[i]]) < math.Abs(sum+in[left[at]]) {
				at = i
			}
		}
		sum += in[left[at]]
		order = append(order, left[at])
		left = slices.Delete(left, at, at+1)
	}
	return math.Max(worstSection(order, drawing), worstSection(order, charging)), order
}

// blockRating holds the bus of a fuse block to what it takes in.
func blockRating(p *rules.Pass, q components.Part, t circuit.Term) {
	amps := 0.0
	drawing, _ := lugsAt(p, t)
	amps = inflow(drawing)
	rating := q.Figure("bus_a")
	if !rating.Known() {
		if amps > 0 {
			p.Unchecked(string(q.ID), fmt.Sprintf("bus_a of %s is not known: read it off the block (%s)", q.ID, leastText(p, amps, p.Circuit.LinksAt(t)...)))
		}
		return
	}
	if amps <= rating.Value*1.001 {
		return
	}
	f := rules.Finding{
		At: string(q.ID), Level: rules.Violation,
		Message: fmt.Sprintf("The circuits of %s draw %s A together; its bus is rated %s A", q.ID, numText(amps), numText(rating.Value)),
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a block of %s A as %s", numText(by50(amps)), q.ID), Edits: []components.Edit{set(q.ID, "bus_a", components.Num(by50(amps)))}}},
	}
	if amps > 1.25*rating.Value {
		f.Level = rules.Danger
	}
	p.Report(f)
}
