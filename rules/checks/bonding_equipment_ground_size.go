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
	Must:  "The equipment ground of each circuit is not below the table size for its overcurrent device; where the lines are larger than they have to be, it grows by the same ratio of areas; it need never be larger than the lines. A ground that lies beside its circuit as a conductor of its own is held to the same.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "250.122(A), 250.122(B), Table 250.122", Says: "size by the device, in proportion where the lines were enlarged", Seen: rules.Published},
	},
	Level: rules.Violation, OnePerPlace: true, Stateless: true,
	Set:   components.USVehicle,
	Check: equipmentGround,
}

func equipmentGround(p *rules.Pass) {
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
		if grounded {
			holdGround(p, r, r, on)
			continue
		}
		for _, g := range groundsBeside(p, r) { // none: bonding.ground-with-circuit
			holdGround(p, r, g, on)
		}
	}
}

// groundsBeside are the runs of ground alone that join the grounds at the ends of a run
// that brings none.
func groundsBeside(p *rules.Pass, r components.Run) []components.Run {
	if !hotWithout(p.Doc, r, components.G) {
		return nil
	}
	whole := cableOf(p, r)
	a, okA := p.Circuit.Term(whole.From.At(components.G))
	b, okB := p.Circuit.Term(whole.To.At(components.G))
	if !okA || !okB {
		return nil
	}
	way, _ := groundWay(p, whole, a, b)
	var all []components.Run
	for _, i := range way {
		if g, ok := p.Doc.Run(p.Circuit.Links[i].Run); ok {
			all = append(all, g)
		}
	}
	return all
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
	for _, s := range p.All() {
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

// holdGround holds the ground of a circuit, a core of its own run or a run beside it, to
// what protects the circuit and to the size of its lines.
func holdGround(p *rules.Pass, r, ground components.Run, on loosest) {
	limit, behind := groundedBehind(on.feed)
	base, err := tables.GroundSize(units.Amp(limit), metals[ground.Metal()])
	line, ok := r.Size(on.pole)
	if err != nil || !ok {
		return // over 400 A, or conductor.ampacity-covers-overcurrent asks for the size
	}
	want, working := base, []string{fmt.Sprintf("250.122: behind %s: %s %s", behind, base, ground.Metal())}
	if least, ok := sizeFor(on.in, r, on.pole, limit); ok && least.Less(line) && on.feed.Last.Part != "" {
		if grown, err := tables.EnlargedGround(base, least.Cmil(), line.Cmil()*(1-1e-9)); err == nil {
			want = grown
			working = append(working, fmt.Sprintf("250.122(B): lines %s in place of %s: %.0f × %.0f / %.0f = %.0f cmil, %s", line, least, base.Cmil(), line.Cmil(), least.Cmil(), base.Cmil()*line.Cmil()/least.Cmil(), want))
		} else {
			want = line
		}
	}
	if line.Less(want) && r.Metal() == ground.Metal() {
		want = line // it need never be larger than the lines
	}
	size, known := groundTold(ground)
	switch {
	case !known && units.Size.Less(want, line) && ground.Told("ground_size").IsUnknown(), !known && tenAWG.Less(want):
		p.Unchecked(string(ground.ID), fmt.Sprintf("the size of the ground core of %s is not told: read it off the jacket (%s is the least here)", ground.ID, want))
	case !known && ground.ID != r.ID:
		p.Unchecked(string(ground.ID), fmt.Sprintf("the size of the ground %s, which goes with %s, is not told: read it off the jacket (%s is the least here)", ground.ID, r.ID, want))
	case known && size.Less(want):
		f := rules.Finding{
			At:      string(ground.ID),
			Message: fmt.Sprintf("The ground of %s is %s; behind %s, with lines of %s, it is %s at least", r.ID, size, behind, line, want),
			Working: append(working, fmt.Sprintf("%s < %s", size, want)),
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by a cable with a ground of %s", ground.ID, want), Edits: []components.Edit{set(ground.ID, "ground_size", components.Str(want.String()))}}},
		}
		if ground.ID != r.ID {
			f.Also = []string{string(r.ID)}
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", ground.ID, want), Edits: []components.Edit{groundSize(p.Doc, ground.ID, want.String())}}}
		}
		switch {
		case on.feed.HasDevice():
			f.Also = append(f.Also, on.feed.Device.Address())
		case on.feed.Last.Part != "":
			f.Also = append(f.Also, on.feed.Last.Address())
		}
		p.Report(f)
	}
}

// groundedBehind is the rating that a ground goes by, and its words. An inverter's
// electronic limit is no device: where one stands behind it, that one counts.
func groundedBehind(f circuit.Feed) (amps float64, text string) {
	if f.HasDevice() || f.Last.Part == "" || !f.Last.RatingA.Known() {
		return f.LimitA, f.String()
	}
	return f.Last.RatingA.Value, fmt.Sprintf("%s, %s A", f.Last, numText(f.Last.RatingA.Value))
}

var tenAWG = func() units.Size { s, _ := units.ParseSize("10 AWG"); return s }()

// groundTold is the size of a run's ground core. Cables up to 10 AWG have a ground
// as large as their lines; of a larger one that does not tell, it is not known.
func groundTold(r components.Run) (units.Size, bool) {
	if r.Told("ground_size").IsUnknown() {
		return units.Size{}, false
	}
	size, ok := r.Size(components.G)
	cable, _ := r.Cable()
	if !r.Told("ground_size").Told() && cable.Multi && tenAWG.Less(size) {
		return units.Size{}, false
	}
	return size, ok
}
