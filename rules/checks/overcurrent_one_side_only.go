package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// OneSideOnly finds a device that stands in no conductor: those of one of its sides only
// are drawn.
var OneSideOnly = &rules.Rule{
	ID:    "overcurrent.one-side-only",
	Title: "A device has conductors on one side only",
	Must:  "A fuse, breaker, switch, shunt, protector or transfer switch stands between two conductors. Where only one of its sides is joined, what was meant to pass it goes past it, or is missing. A fuse block is fed at its feed, and an inlet leads on from its inside. A spare one is named as such, or left off the drawing.",
	Basis: []rules.Basis{{Source: "a device protects or opens what flows through it", Seen: rules.Practice}},
	Level: rules.Advice, Stateless: true,
	Check: oneSideOnly,
}

// sidesOf are the two sides between which a device stands, by their ports.
func sidesOf(q components.Part) (in, out []string) {
	switch q.Kind {
	case &components.Fuse, &components.DCBreaker, &components.DCSwitch, &components.ACBreaker, &components.SurgeProtector:
		return []string{"line"}, []string{"load"}
	case &components.Shunt:
		return []string{"battery"}, []string{"system"}
	case &components.TransferSwitch:
		return []string{"a", "b"}, []string{"out"}
	}
	return nil, nil
}

func oneSideOnly(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		in, out := sidesOf(q)
		if q.Gone() {
			continue
		}
		if passedBy(p.Doc, q) {
			p.Report(rules.Finding{
				At:      string(q.ID),
				Message: fmt.Sprintf("Nothing is joined to %s of %s: what feeds it goes in at another terminal, past what belongs between", entry[q.Kind], q.ID),
				Working: []string{fmt.Sprintf("live conductors at %s of %s: 0", entry[q.Kind], q.ID)},
			})
		}
		if in == nil {
			continue
		}
		joinedIn, joinedOut := joinedAt(p.Doc, q, in), joinedAt(p.Doc, q, out)
		if joinedIn == joinedOut {
			continue // in a conductor, or not joined to anything yet
		}
		bare := out
		if joinedOut {
			bare = in
		}
		p.Report(rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("Nothing is joined to %s of %s, so nothing passes it: what was meant to goes past it, or is missing", bare[0], q.ID),
			Working: []string{fmt.Sprintf("conductors at %s of %s: 0", bare[0], q.ID)},
			Fixes:   []rules.Fix{takeOff(p.Doc, q.ID)},
		})
	}
}

// entry is the port by which a part is fed that has others for what it feeds.
var entry = map[*components.Kind]string{&components.DCPanel: "feed", &components.Inlet: "rig"}

// passedBy tells whether a fuse block's circuits, or an inlet's pins, have conductors and
// no live one is joined to its own feed, or to its inside.
func passedBy(doc *components.Document, q components.Part) bool {
	own, others := entry[q.Kind], false
	if own == "" {
		return false
	}
	for _, r := range doc.RunsOf(q.ID) {
		if r.Gone() {
			continue
		}
		if !r.Ends(q.Ref(own)) {
			others = true
			continue
		}
		for _, core := range doc.CoresOf(r) {
			if core.From.Hot() || core.From == components.Pos {
				return false
			}
		}
	}
	return others
}

func joinedAt(doc *components.Document, q components.Part, ports []string) bool {
	for _, port := range ports {
		for _, r := range doc.RunsAt(q.Ref(port)) {
			if !r.Gone() {
				return true
			}
		}
	}
	return false
}
