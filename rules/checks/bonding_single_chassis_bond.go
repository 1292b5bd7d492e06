package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// SingleChassisBond joins the house negative to the chassis at one place.
var SingleChassisBond = &rules.Rule{
	ID:    "bonding.single-chassis-bond",
	Title: "The negative does not meet the chassis exactly once",
	Must:  "The house bank's negative joins the chassis at exactly one place. A starting battery keeps its own; one whose positive feeds nothing yet needs none.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(C)", Says: "one chassis-grounding terminal of the battery (written for park trailers; article 551 excludes low voltage)", Seen: rules.Published},
		{Source: "single-point grounding", Seen: rules.Practice},
	},
	Level: rules.Violation, Stateless: true,
	Check: singleChassisBond,
}

func singleChassisBond(p *rules.Pass) {
	eachHouseNegative(p, func(bat components.Part, nets []circuit.Term, net circuit.Term) {
		bonds := negativeBonds(p, nets, net)
		if len(bonds) == 1 {
			overDevice(p, bat, bonds[0])
		}
		if len(bonds) == 1 || len(bonds) == 0 && !feeds(p, nets, net) {
			return // bonding.chassis-bond-size looks at the one
		}
		f := rules.Finding{At: string(bat.ID), Working: []string{fmt.Sprintf("joins between the negative of %s and the chassis: %d", bat.ID, len(bonds))}}
		if len(bonds) == 0 {
			f.Message = fmt.Sprintf("The negative of %s is nowhere bonded to the chassis: a positive wire on the frame opens no fuse", bat.ID)
			f.Fixes = addNegativeBond(p, bat, nets, net)
		} else {
			f.Message = fmt.Sprintf("The negative of %s meets the chassis at %d places: %s. Return current flows in the frame", bat.ID, len(bonds), strings.Join(bonds, ", "))
			f.Also = bonds
			for _, b := range bonds[1:] {
				f.Fixes = append(f.Fixes, rules.Fix{Title: "Remove " + b, Edits: p.Doc.Delete(components.ID(b))})
			}
		}
		p.Report(f)
	})
}

// feeds tells whether anything is joined to the positive of a battery on a negative net.
func feeds(p *rules.Pass, nets []circuit.Term, net circuit.Term) bool {
	return slices.ContainsFunc(p.Doc.Parts(), func(bat components.Part) bool {
		if bat.Kind != &components.Battery || bat.Gone() {
			return false
		}
		neg, ok := p.Circuit.At(bat.ID, "neg", components.Neg)
		pos, also := p.Circuit.At(bat.ID, "pos", components.Pos)
		return ok && also && nets[neg] == net && len(p.Circuit.LinksAt(pos)) > 0
	})
}

// eachHouseNegative calls judge for each negative net that a house bank stands on,
// with its first battery. The negative of one that stands on another in series is none.
func eachHouseNegative(p *rules.Pass, judge func(bat components.Part, nets []circuit.Term, net circuit.Term)) {
	nets := dcNets(p)
	told := map[circuit.Term]bool{}
	for _, bat := range p.Doc.Parts() {
		if bat.Kind != &components.Battery || bat.Gone() || bat.Word("role") == "starting" {
			continue
		}
		t, ok := p.Circuit.At(bat.ID, "neg", components.Neg)
		if !ok || told[nets[t]] || len(p.Circuit.InSeries(bat.ID)) > 1 {
			continue
		}
		told[nets[t]] = true
		judge(bat, nets, nets[t])
	}
}

// dcNets are the nets with DC-to-DC devices taken apart, so that a starting battery's
// own bond does not count for the house, nor the bank's for a battery behind a step-down:
// the thin negative of such a device carries no battery's fault current.
func dcNets(p *rules.Pass) []circuit.Term {
	apart := p.Circuit.Nets(func(l *circuit.Link) bool {
		q, _ := p.Doc.Part(l.Part)
		return l.Closed && !l.Bond && q.Kind != &components.DCCharger && q.Kind != &components.DCConverter
	})
	stores := map[circuit.Term]bool{}
	for _, q := range p.Doc.Parts() {
		if t, ok := p.Circuit.At(q.ID, "neg", components.Neg); ok && q.Kind == &components.Battery && !q.Gone() {
			stores[apart[t]] = true
		}
	}
	return p.Circuit.Nets(func(l *circuit.Link) bool {
		if !l.Closed || l.Bond {
			return false
		}
		switch q, _ := p.Doc.Part(l.Part); q.Kind {
		case &components.DCCharger:
			return false
		case &components.DCConverter:
			out, ok := p.Circuit.At(q.ID, "out", components.Neg)
			return !ok || !stores[apart[out]]
		}
		return true
	})
}

// negativeBonds name the parts or runs that join a negative net to the chassis. A
// jumper whose other end leads to no stud is none.
func negativeBonds(p *rules.Pass, nets []circuit.Term, net circuit.Term) []string {
	c := p.Circuit
	frame, drawn := map[circuit.Term]bool{}, false
	for _, q := range p.Doc.Parts() {
		if t, ok := c.At(q.ID, "stud", components.G); ok && q.Kind == &components.Chassis && !q.Gone() {
			frame[nets[t]], drawn = true, true
		}
	}
	var bonds []string
	for _, l := range c.Links {
		if !l.Closed || !l.Bond {
			continue
		}
		t, ground := c.BondEnds(l)
		if drawn && !frame[nets[ground]] || !drawn && len(c.LinksAt(ground)) < 2 {
			continue
		}
		if nets[t] == net && !slices.Contains(bonds, l.Address()) {
			bonds = append(bonds, l.Address())
		}
	}
	return bonds
}

// addNegativeBond draws the bond from a negative bar (or the post, where there is
// no bar) to the chassis, as thick as the bank's largest positive lead.
func addNegativeBond(p *rules.Pass, bat components.Part, nets []circuit.Term, net circuit.Term) []rules.Fix {
	from := bondPlace(p, bat, nets, net)
	size := leastBond(p.Doc)
	if lead, s, _ := largestPositive(p, nets, net); lead != "" && size.Less(s) {
		size = s
	}
	spec := components.Spec{"size": components.Str(size.String()), "cable": components.Str("battery-105"), "color": components.Str("green")}
	owner, port, _ := p.Doc.Port(from)
	bond := components.Part{ID: p.Doc.FreeID("BJ"), Kind: &components.BondKind, Name: "Chassis bond",
		At: snap(clear(p.Doc, owner.At.Add(port.At).Add(components.Point{X: 80, Y: 60})))}
	edits := []components.Edit{components.AddPart{Part: bond}}
	with, err := p.Doc.Apply(edits...)
	if err != nil {
		return nil
	}
	toChassis := groundToChassis(with, bond.Ref("b"), size.String())
	edits = append(edits, toChassis...)
	with, err = p.Doc.Apply(edits...)
	if err != nil {
		return nil
	}
	edits = append(edits, components.AddRun{Run: components.Run{ID: with.FreeID("W"), From: from, To: bond.Ref("a"), Cores: []components.Core{{From: components.Neg, To: components.Neg}}, Spec: spec}})
	return []rules.Fix{{Title: fmt.Sprintf("Bond the negative at %s to the chassis with %s", from, size), Edits: edits}}
}

// bondPlace is where a negative is best bonded: at a bar, behind the shunt where there
// is one, so that what returns over the chassis is counted; or else at the post.
func bondPlace(p *rules.Pass, bat components.Part, nets []circuit.Term, net circuit.Term) components.PortRef {
	short := p.Circuit.Nets(func(l *circuit.Link) bool {
		q, _ := p.Doc.Part(l.Part)
		return l.Closed && !l.Bond && q.Kind != &components.Shunt
	})
	post, _ := p.Circuit.At(bat.ID, "neg", components.Neg)
	best, rank := bat.Ref("neg"), 0
	for _, q := range p.Doc.Parts() {
		ref, at := components.PortRef{}, 0
		switch {
		case q.Gone():
			continue
		case q.Kind == &components.Busbar:
			ref, at = q.Ref("bar"), 1
		case q.Kind == &components.Shunt:
			ref = q.Ref("system")
		default:
			continue
		}
		t, ok := p.Circuit.At(ref.Part, ref.Port, components.Neg)
		if !ok || nets[t] != net {
			continue
		}
		if short[t] != short[post] {
			at += 2
		}
		if at > rank {
			best, rank = ref, at
		}
	}
	return best
}

// overDevice finds a bank whose one bond is joined to it inside a controller or converter
// alone: the fault current of the bank passes the thin negative of that device.
func overDevice(p *rules.Pass, bat components.Part, bond string) {
	c := p.Circuit
	conductors := c.Nets(func(l *circuit.Link) bool {
		q, _ := p.Doc.Part(l.Part)
		switch q.Kind {
		case &components.SolarController, &components.DCCharger, &components.DCConverter:
			return false
		}
		return l.Closed && !l.Bond
	})
	t, ok := c.At(bat.ID, "neg", components.Neg)
	if !ok || len(negativeBonds(p, conductors, conductors[t])) > 0 {
		return
	}
	p.Report(rules.Finding{
		At: string(bat.ID), Also: []string{bond},
		Message: fmt.Sprintf("The negative of %s comes to its bond %s through a controller or converter alone: the bank's fault current passes its thin negative", bat.ID, bond),
		Working: []string{fmt.Sprintf("conductors from the negative of %s to %s: 0", bat.ID, bond)},
	})
}
