package cards

import (
	"runtime"
	"slices"
	"sync"

	"rigline/components"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/circuit"
)

// The size of a card: more would not be read at the door.
const (
	mostChoices    = 8
	mostEnumerated = 12   // larger loads that are tried in every combination
	fewChoices     = 3    // where there are more than that
	small          = 0.10 // of the smallest hot: what counts as always on
)

// Of makes the cards of a rig: a site's, its smaller ones, a generator's, and the
// one off grid.
func Of(doc *components.Document) []Card {
	all := supplies(doc)
	made := make([]Card, len(all))
	quiet, err := withoutCharging(doc)
	if err != nil {
		for i, s := range all {
			made[i] = Card{Kind: s.kind, Title: s.title, State: s.state, Breaker: s.amps, Failure: err.Error()}
		}
		return made
	}
	laid, say := circuit.Lay(quiet), terms.Of(doc)
	var wait sync.WaitGroup
	slots := make(chan struct{}, runtime.GOMAXPROCS(0))
	for i, s := range all {
		wait.Go(func() {
			slots <- struct{}{}
			made[i] = one(doc, laid, s, mostEnumerated).said(say)
			<-slots
		})
	}
	wait.Wait()
	return made
}

// want is a load that asks for power: its current in the lines of the card.
type want struct {
	Load
	on     bool   // counted in every combination
	never  string // the group of which one alone runs, "" for none
	demand []complex128
}

// one makes the card of a supply. quiet is the document without charging, laid out;
// tried is how many larger loads are tried in every combination.
func one(doc *components.Document, quiet *circuit.Layout, sup supply, tried int) Card {
	c := Card{Kind: sup.kind, Title: sup.title, State: sup.state, Breaker: sup.amps, Mains: doc.MainsVolts(), tried: tried}
	idle := solved.One(quiet, switched(quiet.Doc, sup.state, nil))
	if f := idle.Solution.Failure; f != nil {
		c.Failure = f.Reason
		return c
	}
	lines := c.limits(idle)
	if len(lines) == 0 && sup.kind != OffGrid { // off grid there is still the bank to tell of
		c.Failure = "nothing gives AC on this supply"
		c.banks(doc)
		return c
	}
	c.carried(idle, lines)
	wants := c.sort(doc, idle, lines)
	c.tells(idle, wants, lines)
	c.banks(doc)
	c.outlets(idle, lines)
	sets := c.sets(wants, lines)
	c.choose(doc, quiet, wants, sets, lines)
	c.motors(doc, wants)
	return c
}

// withoutCharging is the document with its inverters' chargers at nought, so that
// what the loads draw stands alone.
func withoutCharging(doc *components.Document) (*components.Document, error) {
	var edits []components.Edit
	for _, p := range doc.Parts() {
		if p.Kind == &components.InverterCharger && !p.Gone() {
			edits = append(edits, components.Set{On: p.ID, Key: "charge_a", Value: components.Num(0)}, components.Set{On: p.ID, Key: "input_limit_a", Value: components.Value{}})
		}
	}
	return doc.Apply(edits...)
}

// switched is the state with the loads of a list on and all other AC loads and
// chargers off. DC loads stay as the state has them.
func switched(doc *components.Document, st components.State, on []components.ID) components.State {
	off := slices.Clone(st.Off)
	chosen := make(map[components.ID]bool, len(on))
	for _, id := range on {
		chosen[id] = true
	}
	for _, p := range doc.Parts() {
		if (p.Kind == &components.ACLoad || p.Kind == &components.Charger) && !chosen[p.ID] {
			off = append(off, p.ID)
		}
	}
	if len(st.On) > 0 {
		st.On = append(slices.Clone(st.On), on...)
	}
	st.Off = off
	return st
}

func nameOf(p components.Part) string {
	if p.Name != "" {
		return p.Name
	}
	return string(p.ID)
}
