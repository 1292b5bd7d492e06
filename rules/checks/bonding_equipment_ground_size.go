package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// EquipmentGround holds the ground of each circuit to its overcurrent device.
var EquipmentGround = &rules.Rule{
	ID:    "bonding.equipment-ground-size",
	Title: "The ground of a circuit is too small",
	Must:  "The equipment ground of each circuit is not below the table size for its overcurrent device; where the lines are larger than they have to be, it grows by the same ratio of areas; it need never be larger than the lines.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "250.122(A), 250.122(B), Table 250.122", Says: "size by the device, in proportion where the lines were enlarged", Seen: rules.Published},
	},
	Level: rules.Violation,
	Set:   components.USVehicle,
	Check: equipmentGround,
}

func equipmentGround(p *rules.Pass) {
	if !p.First() {
		return
	}
	worst := loosestByRun(p)
	for _, r := range p.Doc.Runs() {
		on, fed := worst[r.ID]
		if r.Gone() || !fed || math.IsInf(on.feed.LimitA, 1) || listedSet(p, r) {
			continue
		}
		grounded := false
		for _, core := range p.Doc.CoresOf(r) {
			grounded = grounded || core.From == components.G && core.To == components.G
		}
		if grounded { // a ground that runs elsewhere: bonding.ground-path-unbroken
			holdGround(p, r, on)
		}
	}
}

// loosest is the loosest protection of a run, the pole that it feeds, and the state.
type loosest struct {
	feed circuit.Feed
	pole components.Pole
	in   *rules.Pass
}

// loosestByRun finds the loosest protection of every AC run over all states.
func loosestByRun(p *rules.Pass) map[components.ID]loosest {
	worst := map[components.ID]loosest{}
	for _, s := range p.All {
		feeds := s.Feeds()
		for i, l := range s.Circuit.Links {
			if l.Run == "" || !l.Core.From.Hot() {
				continue
			}
			for _, f := range feeds[i] {
				if old, ok := worst[l.Run]; !ok || f.LimitA > old.feed.LimitA {
					worst[l.Run] = loosest{f, l.Core.From, s}
				}
			}
		}
	}
	return worst
}

func holdGround(p *rules.Pass, r components.Run, on loosest) {
	base, err := tables.EquipmentGround(on.feed.LimitA)
	line, ok := r.Size(on.pole)
	if err != nil || !ok || line.Metric() {
		return // over 400 A, or conductor.ampacity-covers-overcurrent asks for the size
	}
	want, working := base, []string{fmt.Sprintf("250.122: behind %s: %s copper", on.feed, base)}
	if least, ok := sizeFor(on.in, r, on.pole, on.feed.LimitA); ok && least.Less(line) {
		if grown, err := tables.EnlargedGround(base, least.Cmil(), line.Cmil()*(1-1e-9)); err == nil {
			want = grown
			working = append(working, fmt.Sprintf("250.122(B): lines %s in place of %s: %.0f × %.0f / %.0f = %.0f cmil, %s", line, least, base.Cmil(), line.Cmil(), least.Cmil(), base.Cmil()*line.Cmil()/least.Cmil(), want))
		} else {
			want = line
		}
	}
	if line.Less(want) {
		want = line // it need never be larger than the lines
	}
	size, known := groundTold(r)
	switch {
	case !known && units.Size.Less(want, line) && r.Spec["ground_size"].IsUnknown(), !known && tenAWG.Less(want):
		p.Unchecked(string(r.ID), fmt.Sprintf("the size of the ground core of %s is not told: read it off the jacket (%s is the least here)", r.ID, want))
	case known && size.Less(want):
		f := rules.Finding{
			At:      string(r.ID),
			Message: fmt.Sprintf("The ground of %s is %s; behind %s, with lines of %s, it is %s at least", r.ID, size, on.feed, line, want),
			Working: append(working, fmt.Sprintf("%s < %s", size, want)),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by a cable with a ground of %s", r.ID, want), Edits: []components.Edit{set(r.ID, "ground_size", components.Str(want.String()))}}},
		}
		if on.feed.HasDevice() {
			f.Also = []string{on.feed.Device.Address()}
		}
		p.Report(f)
	}
}

var tenAWG = func() units.Size { s, _ := units.ParseSize("10 AWG"); return s }()

// groundTold is the size of a run's ground core. Cables up to 10 AWG have a ground
// as large as their lines; of a larger one that does not tell, it is not known.
func groundTold(r components.Run) (units.Size, bool) {
	if r.Spec["ground_size"].IsUnknown() {
		return units.Size{}, false
	}
	size, ok := r.Size(components.G)
	cable, _ := r.Cable()
	if _, told := r.Spec["ground_size"]; !told && cable.Multi && tenAWG.Less(size) {
		return units.Size{}, false
	}
	return size, ok
}
