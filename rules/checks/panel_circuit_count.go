package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// CircuitCount holds the number of branch circuits to the supply.
var CircuitCount = &rules.Rule{
	ID:    "panel.circuit-count",
	Title: "The supply is too small for so many circuits",
	Must:  "A 15 or 20 A supply feeds one branch circuit; a 30 A supply up to five, a sixth for the converter, and more with a listed energy manager, with at most two appliances on thermostats that it does not manage; six circuits or more want 50 A.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.44(C)", Says: "30 A for two to five circuits, 50 A above (written for park trailers; the text for vehicles is parallel)", Seen: rules.Published},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.42(A)-(D)", Says: "the same for vehicles, with the exceptions for the converter and the energy manager", Seen: rules.Memory},
	},
	Set:   components.USVehicle,
	Level: rules.Violation, Stateless: true,
	Check: circuitCount,
}

func circuitCount(p *rules.Pass) {
	for _, s := range assemblies(p) {
		countOn(p, s.inlet, s.sites)
	}
}

// countOn holds what hangs on one inlet to its rating.
func countOn(p *rules.Pass, inlet components.Part, sites []components.ID) {
	devices := suppliedCircuits(p, sites)
	thermostats := onThermostats(p, devices)
	n, rating := len(devices), inlet.Figure("rating_a").Value
	most, why := 1, "one circuit on 15 or 20 A"
	switch {
	case rating >= 50 || n <= 1:
		return
	case rating == 16:
		return // no rating of this clause
	case rating == 30 && managed(p):
		return
	case rating == 30:
		most, why = 5, "two to five circuits on 30 A"
		if n == 6 && feedsConverter(devices) {
			most, why = 6, "a sixth circuit for the converter on 30 A"
		}
	}
	f := rules.Finding{At: string(inlet.ID), Fixes: largerSupply(p, inlet, n)}
	switch {
	case n > most:
		f.Message = fmt.Sprintf("%d branch circuits hang on the %s A inlet %s, which may feed %d", n, numText(rating), inlet.ID, most)
		f.Working = []string{"branch circuits: " + addresses(devices), fmt.Sprintf("%d > %d (%s)", n, most, why)}
	case rating == 30 && len(thermostats) > 2:
		f.Also = thermostats
		f.Message = fmt.Sprintf("%s hang on thermostats behind the 30 A inlet %s and nothing manages them; two may", strings.Join(thermostats, ", "), inlet.ID)
		f.Working = []string{fmt.Sprintf("appliances on thermostats: %d > 2", len(thermostats))}
	case rating == 30:
		unreadThermostats(p, thermostats)
		return
	default:
		return
	}
	p.Report(f)
}

// unreadThermostats asks for those that are marked unknown, where they would be too many.
func unreadThermostats(p *rules.Pass, told []string) {
	var unread []string
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.ACLoad && !q.Gone() && q.Told("thermostat").IsUnknown() && q.Figure("hots").Value == 1 {
			unread = append(unread, string(q.ID))
		}
	}
	if len(unread) > 0 && len(told)+len(unread) > 2 {
		p.Unchecked(unread[0], fmt.Sprintf("thermostat of %s is not known, and two appliances on thermostats may hang on 30 A: tell which of them switch themselves on", strings.Join(unread, ", ")), unread[1:]...)
	}
}

// assembly is an inlet with the site supplies whose cord goes to it.
type assembly struct {
	inlet components.Part
	sites []components.ID
}

// assemblies are the inlets that a site's cord goes to; a generator's own does not count.
// Where no site is drawn at all the first inlet is taken for all that is fed.
func assemblies(p *rules.Pass) (all []assembly) {
	var bare []assembly
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.Inlet || q.Gone() || !q.Figure("rating_a").Known() || !joinedAt(p.Doc, q, []string{"rig"}) {
			continue
		}
		s := assembly{inlet: q}
		for _, r := range p.Doc.RunsAt(q.Ref("site")) {
			if o, _ := p.Doc.Part(r.Other(q.Ref("site")).Part); o.Kind == &components.Shore && !o.Gone() {
				s.sites = append(s.sites, o.ID)
			}
		}
		if len(s.sites) > 0 {
			all = append(all, s)
		} else if bare == nil {
			bare = append(bare, s)
		}
	}
	if len(all) > 0 || slices.ContainsFunc(p.All(), func(s *rules.Pass) bool { return s.State.Shore != "" }) {
		return all
	}
	return bare
}

// branch is a last device with what it feeds.
type branch struct {
	device circuit.Device
	feeds  []components.Part
}

type branchesKey struct{}

// branchCircuits are the last devices ahead of loads, outlets and chargers, over all
// states, each with all that it feeds in one of them.
func branchCircuits(p *rules.Pass) []branch {
	return rules.Once(p, branchesKey{}, func() []branch {
		var all []branch
		at := map[circuit.Place]int{}
		for _, s := range p.All() {
			all = addBranches(all, at, s, func(circuit.Feed) bool { return true })
		}
		return all
	})
}

// suppliedCircuits are those that some site supplies feed, in the state that has the most
// of them; with none named, those of the state with the most.
func suppliedCircuits(p *rules.Pass, sites []components.ID) (most []branch) {
	for _, s := range p.All() {
		all := addBranches(nil, map[circuit.Place]int{}, s, func(f circuit.Feed) bool {
			return len(sites) == 0 || slices.Contains(sites, f.Source.Part)
		})
		if len(all) > len(most) {
			most = all
		}
	}
	return most
}

// addBranches adds the branches of a state whose feeds count; at is where each device
// stands among them.
func addBranches(all []branch, at map[circuit.Place]int, s *rules.Pass, counts func(circuit.Feed) bool) []branch {
	for _, q := range s.Doc.Parts() {
		if q.Gone() || usesPort(q) == "" {
			continue
		}
		for _, pole := range poles(q) {
			t, ok := s.Circuit.At(q.ID, usesPort(q), pole)
			if !ok {
				continue
			}
			feed, ok := loosestAhead(s, t)
			if !ok || feed.Last.Part == "" || !counts(feed) {
				continue
			}
			i, found := at[feed.Last.At()]
			if !found {
				i = len(all)
				at[feed.Last.At()] = i
				all = append(all, branch{device: *feed.Last})
			}
			if !slices.ContainsFunc(all[i].feeds, func(o components.Part) bool { return o.ID == q.ID }) {
				all[i].feeds = append(all[i].feeds, q)
			}
			break
		}
	}
	return all
}

// onThermostats are the 120 V loads of some circuits that a thermostat switches.
func onThermostats(p *rules.Pass, devices []branch) (thermostats []string) {
	fed := map[components.ID]bool{}
	for _, b := range devices {
		for _, q := range b.feeds {
			fed[q.ID] = true
		}
	}
	for _, q := range p.Doc.Parts() {
		if fed[q.ID] && q.Kind == &components.ACLoad && q.Is("thermostat") && q.Figure("hots").Value == 1 {
			thermostats = append(thermostats, string(q.ID))
		}
	}
	return thermostats
}

func feedsConverter(devices []branch) bool {
	for _, b := range devices {
		if len(b.feeds) == 1 && b.feeds[0].Kind == &components.Charger {
			return true
		}
	}
	return false
}

func managed(p *rules.Pass) bool {
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.Panel && !q.Gone() && q.Is("energy_manager") {
			return true
		}
	}
	return false
}

func addresses(devices []branch) string {
	words := make([]string, len(devices))
	for i, b := range devices {
		words[i] = b.device.Address()
	}
	return strings.Join(words, ", ")
}

// largerSupply fits the 30 A inlet in place of a smaller one, with the cord and the
// feeder that it wants; on 30 A it fits an energy manager.
func largerSupply(p *rules.Pass, inlet components.Part, n int) []rules.Fix {
	if inlet.Figure("rating_a").Value == 30 {
		for _, q := range p.Doc.Parts() {
			if q.Kind == &components.Panel && !q.Gone() {
				return []rules.Fix{{Title: fmt.Sprintf("Fit a listed energy manager of 30 A at %s", q.ID), Edits: []components.Edit{set(q.ID, "energy_manager", components.Yes(true))}}}
			}
		}
		return nil
	}
	if n > 5 {
		return nil
	}
	edits := []components.Edit{num30(inlet.ID, "rating_a")}
	if inlet.Word("plate") != "" {
		edits = append(edits, set(inlet.ID, "plate", components.Str("30a-120")))
	}
	for _, r := range p.Doc.RunsAt(inlet.Ref("site")) {
		if r.Told("cable").Str() == "cord-shore" {
			edits = append(edits, set(r.ID, "size", components.Str(madeUp[30])))
		}
	}
	from, _ := p.Circuit.At(inlet.ID, "rig", components.L)
	runs, _, _ := toDevices(p, from)
	for _, i := range runs {
		r, _ := p.Doc.Run(p.Circuit.Links[i].Run)
		old, okOld := r.Size(components.L)
		if size, ok := sizeFor(p, r, components.L, 30); ok && okOld && old.Less(size) {
			edits = append(edits, set(r.ID, "size", components.Str(size.String())))
		}
	}
	return []rules.Fix{{Title: fmt.Sprintf("Fit a 30 A inlet as %s, with the cord and the feeder for it", inlet.ID), Edits: edits}}
}

func num30(on components.ID, key string) components.Edit { return set(on, key, components.Num(30)) }
