// Package checklist makes the pre-power-up and commissioning checks of one rig:
// the items that its drawing calls for, each with the reading that the drawing
// predicts, the band in which a reading passes, and what a wrong one means.
package checklist

import (
	"cmp"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/cards"
	"rigline/export/solved"
	"rigline/export/terms"
)

// Item is one check of this rig.
type Item struct {
	ID      string // "L04"
	Place   string // "BAT1", "" where it is done once
	Name    string // what a person calls the place
	Each    string // what it is repeated for: "run", "terminal", "" where it is done once
	Phase   Phase
	Meter   string
	Points  string // where the probes go
	Do      string
	Expect  Expect
	Wrong   string // what a wrong reading means
	Caution string
	Basis   string
}

// Key names the item in the project file: "D08", or "L04/BAT1".
func (i Item) Key() string {
	if i.Place == "" {
		return i.ID
	}
	return i.ID + "/" + i.Place
}

// Items are the checks that a rig calls for, in the order in which they are done.
// The cards of its supplies, where they are made already, save making them again.
func Items(rig *solved.Rig, sites ...cards.Card) []Item {
	b := newBench(rig)
	if len(sites) > 0 {
		b.sites = func() []cards.Card { return sites }
	}
	phase := map[string]int{}
	for i, p := range Phases() {
		phase[p.ID] = i
	}
	entries := slices.Clone(data().Items)
	slices.SortStableFunc(entries, func(x, y entry) int { return cmp.Compare(phase[x.When], phase[y.When]) })
	var all []Item
	say := terms.Of(rig.Doc)
	for _, e := range entries {
		if !b.needs(e.Needs) {
			continue
		}
		points, do, wrong, caution := b.spoken(e.Points), b.spoken(e.Do), b.spoken(e.IfWrong), b.spoken(e.Caution)
		for _, at := range b.places(e.Each) {
			item := Item{ID: e.ID, Place: at.id, Name: at.name, Each: e.Each, Phase: Phases()[phase[e.When]], Meter: strings.ReplaceAll(e.Meter, "_", " "),
				Points: points, Do: do, Wrong: wrong, Caution: caution, Basis: e.Basis}
			if e.Figure == "" {
				item.Expect = b.supplied(e)
			} else {
				item.Expect = b.figure(e.Figure, at, &item).metered()
			}
			if rig.Doc.Units == "metric" {
				item.Expect = item.Expect.metric()
			}
			all = append(all, item.said(say))
		}
	}
	return all
}

// supplied is what an item without a figure of the drawing expects on the rig's own
// supply.
func (b *bench) supplied(e entry) Expect {
	x := e.expect()
	if own := e.Of230; own != nil && b.doc.Basis == components.Caravan {
		x.Lo, x.Hi, x.WarnLo, x.WarnHi = own.Lo, own.Hi, own.WarnLo, own.WarnHi
		return x
	}
	if k := b.scale(e.Of); k != 1 {
		x = x.times(k).metered()
	}
	return x
}

// scale takes a figure for 120 V or 60 Hz to the rig's own supply.
func (b *bench) scale(of string) float64 {
	const volts, hertz, european = 120, 60, 50
	switch {
	case of == "mains":
		return b.doc.MainsVolts() / volts
	case of == "hertz" && b.doc.MainsVolts() != volts:
		return float64(european) / hertz
	}
	return 1
}

// Find finds an item by its key.
func Find(all []Item, key string) (Item, bool) {
	for _, i := range all {
		if i.Key() == key {
			return i, true
		}
	}
	return Item{}, false
}

// Keys are the keys of items.
func Keys(all []Item) []string {
	keys := make([]string, len(all))
	for i, x := range all {
		keys[i] = x.Key()
	}
	return keys
}

// Stale are the readings of a project that belong to no item of its drawing any
// more.
func Stale(all []Item, doc *components.Document) []components.Reading {
	known := map[string]bool{}
	for _, i := range all {
		known[i.Key()] = true
	}
	var stale []components.Reading
	for _, r := range doc.Readings {
		if !known[r.Item] {
			stale = append(stale, r)
		}
	}
	return stale
}
