package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/components/units"
	"rigline/rules"
	"rigline/rules/circuit"
)

// ChassisBondSize holds the bond between negative and chassis to the largest
// positive conductor, whose fault current comes back through it.
var ChassisBondSize = &rules.Rule{
	ID:    "bonding.chassis-bond-size",
	Title: "The chassis bond of the negative is too small",
	Must:  "The bond between the house negative and the chassis is copper of 8 AWG or larger, and not smaller than the largest positive conductor of the bank.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2017", Clause: "552.10(C)", Says: "8 AWG copper at least, and not smaller than the unbonded battery lead (written for park trailers; article 551 excludes low voltage)", Seen: rules.Published},
		{Source: "ICEA P-32-382", Says: "what a copper conductor bears, and for how long", Seen: rules.Published},
	},
	Level: rules.Danger, Stateless: true,
	Check: chassisBondSize,
}

func chassisBondSize(p *rules.Pass) {
	eachHouseNegative(p, func(bat components.Part, nets []circuit.Term, net circuit.Term) {
		lead, size, untold := largestPositive(p, nets, net)
		for _, at := range negativeBonds(p, nets, net) {
			own := runsOfBond(p, at)
			for _, r := range own {
				bondRun(p, bat, r, at, lead, size, false)
			}
			if s, ok := thinnestOf(own); untold != "" && ok && !s.Less(size) {
				also := []string{at}
				for _, r := range own {
					if string(r.ID) != at {
						also = append(also, string(r.ID))
					}
				}
				p.Unchecked(string(untold), fmt.Sprintf("the size of %s is not known, so the chassis bond %s cannot be held to it: read it off the jacket", untold, at), also...)
			}
			if r, ok := onFromBond(p, at, own); ok {
				bondRun(p, bat, r, at, lead, size, true)
			}
		}
	})
}

// runsOfBond are the runs that make a bond: itself, or those of the jumper.
func runsOfBond(p *rules.Pass, at string) []components.Run {
	if r, ok := p.Doc.Run(components.ID(at)); ok {
		return []components.Run{r}
	}
	var runs []components.Run
	for _, r := range p.Doc.RunsOf(components.ID(at)) {
		if !r.Gone() {
			runs = append(runs, r)
		}
	}
	return runs
}

// onFromBond is the thinnest run between a bond and the frame that is none of its own:
// where it lands on a ground bar, the bar's way on to the frame is part of it.
func onFromBond(p *rules.Pass, at string, own []components.Run) (components.Run, bool) {
	for _, l := range p.Circuit.Links {
		if !l.Bond || !l.Closed || l.Address() != at {
			continue
		}
		t := l.A
		if p.Circuit.Terms[t].Pole != components.G {
			t = l.B
		}
		way := toFrame(p, t, func(circuit.Link) bool { return false })
		if !way.Found || way.Thinnest == "" || slices.ContainsFunc(own, func(r components.Run) bool { return r.ID == way.Thinnest }) {
			return components.Run{}, false
		}
		return p.Doc.Run(way.Thinnest)
	}
	return components.Run{}, false
}

// bondRun holds a run of a bond, or one on from it, to the bank's largest positive.
func bondRun(p *rules.Pass, bat components.Part, r components.Run, at string, lead components.ID, leadSize units.Size, on bool) {
	pole := components.Neg
	if on {
		pole = components.G
	} else if cores := p.Doc.CoresOf(r); len(cores) == 1 {
		pole = cores[0].From
	}
	size, ok := r.Size(pole)
	if !ok {
		p.Unchecked(string(r.ID), fmt.Sprintf("the size of the chassis bond %s is not known: read it off the jacket", r.ID), at)
		return
	}
	want, because := leastBond(p.Doc), leastBond(p.Doc).String()+" copper is the least"
	if lead != "" && want.Less(leadSize) {
		want, because = leadSize, fmt.Sprintf("positive conductor %s is %s", lead, leadSize)
	}
	if !size.Less(want) {
		return
	}
	f := rules.Finding{
		At: string(r.ID), Also: []string{at}, Level: rules.Violation,
		Message: fmt.Sprintf("The chassis bond %s is %s, smaller than the bank's largest positive conductor, %s", r.ID, size, want),
		Working: []string{because, fmt.Sprintf("%s < %s (552.10(C))", size, want)},
		Fixes:   []rules.Fix{{Title: fmt.Sprintf("Replace %s by %s", r.ID, want), Edits: []components.Edit{set(r.ID, "size", components.Str(want.String()))}}},
	}
	if want == leastBond(p.Doc) {
		f.Message = fmt.Sprintf("The chassis bond %s is %s; %s copper is the least", r.ID, size, want)
	}
	if on {
		f.Message = fmt.Sprintf("The bond %s comes to the chassis over %s, %s, which is smaller than the bank's largest positive conductor, %s", at, r.ID, size, want)
		if len(p.Doc.CoresOf(r)) > 1 {
			f.Fixes = nil // a cable of several cores is not made thicker for it
		}
	}
	if melts, working := bondMelts(p, bat, r, size); melts {
		f.Level = rules.Danger
		f.Message += ": it melts before the fuse opens"
		f.Working = append(f.Working, working...)
	}
	p.Report(f)
}

// bondMelts holds a bond to a positive conductor that lies on the frame: the
// whole current of the bank, until the slowest of the bank's first devices opens.
func bondMelts(p *rules.Pass, bat components.Part, r components.Run, size units.Size) (melts bool, working []string) {
	post, ok := p.Circuit.At(bat.ID, "pos", components.Pos)
	if !ok {
		return false, nil
	}
	amps, working, ok := postFault(p, post)
	if !ok {
		return false, nil
	}
	stands := bears(r, size, amps)
	for _, l := range leads(p, post) {
		if l.Device == nil {
			return true, append(working, "and no device opens it")
		}
		if !l.Device.RatingA.Known() {
			continue
		}
		s, weak, opens := clearing(p, circuit.Feed{Device: l.Device, Last: l.Device, LimitA: l.Device.RatingA.Value}, nil, amps)
		if s > stands && !weak {
			return true, append(working, opens(), fmt.Sprintf("%s bears %s A for %s s (%d to %d °C)", size, numText(math.Round(amps)), numText(stands), warmC, spoiltC))
		}
	}
	return false, nil
}

// largestPositive is the thickest positive conductor between the posts of the
// banks on a negative net and what they feed.
func largestPositive(p *rules.Pass, nets []circuit.Term, net circuit.Term) (id components.ID, size units.Size, untold components.ID) {
	c := p.Circuit
	posts := map[circuit.Term]bool{}
	for _, s := range c.Sources {
		if s.Stores && nets[s.Return] == net {
			posts[nets[s.Hot]] = true
		}
	}
	for _, l := range c.Links {
		if l.Run == "" || l.Core.From != components.Pos || !posts[nets[l.A]] {
			continue
		}
		r, _ := p.Doc.Run(l.Run)
		switch s, ok := r.Size(components.Pos); {
		case !ok && untold == "":
			untold = l.Run
		case ok && size.Less(s):
			id, size = l.Run, s
		}
	}
	return id, size, untold
}

// thinnestOf is the smallest size of some runs of a bond; ok is false where one is not told.
func thinnestOf(runs []components.Run) (least units.Size, ok bool) {
	for i, r := range runs {
		s, told := r.Size(components.Neg)
		if !told {
			return least, false
		}
		if i == 0 || s.Less(least) {
			least = s
		}
	}
	return least, len(runs) > 0
}
