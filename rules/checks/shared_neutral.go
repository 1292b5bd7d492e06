package checks

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// origin is where a circuit of one hot begins: a space of a panel, or a breaker that
// stands alone.
type origin struct {
	Part  components.Part
	Port  string
	Space int // in a panel, from 0; -1 alone
}

func (b origin) address() string {
	if b.Space < 0 {
		return string(b.Part.ID)
	}
	return fmt.Sprintf("%s.%s", b.Part.ID, b.Port)
}

func (b origin) name() string {
	if b.Space < 0 {
		return string(b.Part.ID)
	}
	return fmt.Sprintf("%s of %s", circuitName(b.Part.Rows("circuits")[b.Space], b.Space), b.Part.ID)
}

// panelOrigins are the circuits of a panel that have one hot.
func panelOrigins(p *rules.Pass, q components.Part) []origin {
	var all []origin
	for i, port := range p.Doc.PortsOf(q.ID)[1:] { // behind the main lugs
		if port.Has(components.L) {
			all = append(all, origin{q, port.Name, i})
		}
	}
	return all
}

// looseOrigins are the breakers of one hot that stand alone.
func looseOrigins(p *rules.Pass) []origin {
	var all []origin
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.ACBreaker || q.Gone() {
			continue
		}
		if _, port, ok := p.Doc.Port(q.Ref("load")); ok && port.Has(components.L) {
			all = append(all, origin{q, "load", -1})
		}
	}
	return all
}

// shared is a run whose neutral several circuits come back on.
type shared struct {
	Run components.Run
	Of  []origin
}

// names are its circuits, as a sentence names them.
func (s shared) names() string {
	var names []string
	for _, b := range s.Of {
		names = append(names, b.name())
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// sharedAmong finds the neutrals that circuits share: one takes no neutral out, and its
// loads come back in the cable of another.
func sharedAmong(p *rules.Pass, origins []origin) []shared {
	var borrowers []origin
	for _, b := range origins {
		if borrowed(p, b) {
			borrowers = append(borrowers, b)
		}
	}
	if len(borrowers) == 0 {
		return nil
	}
	var all []shared
	for _, lender := range origins {
		at := lender.Part.Ref(lender.Port)
		for _, r := range p.Doc.RunsAt(at) {
			if r.Gone() || !hasCore(p.Doc, r, components.N) {
				continue
			}
			s, back := shared{Run: r}, lender.neutralsOver(p, r)
			for _, b := range append([]origin{lender}, borrowers...) {
				if b.returnsAmong(p, back) {
					s.Of = append(s.Of, b)
				}
			}
			if len(s.Of) > 1 {
				all = append(all, s)
			}
		}
	}
	return all
}

type sharedKey struct{}

// sharedNeutrals finds all circuits of the drawing that share a neutral: within a
// panel, and among the breakers that stand alone. Who shares lasts while the rig is wired
// as it is; what is told of them is the document's own.
func sharedNeutrals(p *rules.Pass) []shared {
	found := circuit.Lasting(p.Circuit, sharedKey{}, func() []shared {
		all := sharedAmong(p, looseOrigins(p))
		for _, q := range p.Doc.Parts() {
			if q.Kind == &components.Panel && !q.Gone() {
				all = append(all, sharedAmong(p, panelOrigins(p, q))...)
			}
		}
		return all
	})
	var all []shared
	for _, s := range found {
		now := shared{Of: slices.Clone(s.Of)}
		now.Run, _ = p.Doc.Run(s.Run.ID)
		for i := range now.Of {
			now.Of[i].Part, _ = p.Doc.Part(s.Of[i].Part.ID)
		}
		all = append(all, now)
	}
	return all
}

// borrowed tells whether a circuit takes a hot out but no neutral, and what hangs on
// it wants one: it comes back with another circuit's.
func borrowed(p *rules.Pass, b origin) bool {
	at := b.Part.Ref(b.Port)
	hot, neutral := false, false
	for _, r := range p.Doc.RunsAt(at) {
		for _, core := range p.Doc.CoresOf(r) {
			pole := core.From
			if r.To == at {
				pole = core.To
			}
			hot, neutral = hot || pole.Hot(), neutral || pole == components.N
		}
	}
	if !hot || neutral {
		return false
	}
	t, ok := p.Circuit.At(b.Part.ID, b.Port, components.L)
	return ok && feedsNeutralLoad(p, b.Part, t)
}

// feedsNeutralLoad tells whether something that wants a neutral hangs on a hot
// behind a part.
func feedsNeutralLoad(p *rules.Pass, q components.Part, hot circuit.Term) bool {
	for t := range joined(p.Circuit, hot, func(l *circuit.Link) bool { return l.Part != q.ID }) {
		term := p.Circuit.Terms[t]
		o, _ := p.Doc.Part(term.Part)
		if usesPort(o) != "" && term.Pole == components.L {
			return true
		}
	}
	return false
}

// neutralsOver are the terminals that a run from where a circuit begins leads its neutral
// to.
func (b origin) neutralsOver(p *rules.Pass, r components.Run) map[circuit.Term]bool {
	c := p.Circuit
	own, okOwn := c.At(b.Part.ID, b.Port, components.N)
	far, okFar := c.Term(r.Other(b.Part.Ref(b.Port)).At(components.N))
	if !okOwn || !okFar {
		return nil
	}
	return joined(c, far, func(l *circuit.Link) bool { return l.A != own && l.B != own })
}

// returnsAmong tells whether a load on a circuit's hot has its neutral among terminals.
func (b origin) returnsAmong(p *rules.Pass, back map[circuit.Term]bool) bool {
	c := p.Circuit
	hot, ok := c.At(b.Part.ID, b.Port, components.L)
	if !ok {
		return false
	}
	for t := range joined(c, hot, func(l *circuit.Link) bool { return l.Part != b.Part.ID }) {
		o, _ := p.Doc.Part(c.Terms[t].Part)
		if usesPort(o) == "" {
			continue
		}
		if m, ok := c.At(o.ID, usesPort(o), components.N); ok && back[m] {
			return true
		}
	}
	return false
}

// sharedInPanel names the circuits of a two-leg panel that share a neutral.
func sharedInPanel(p *rules.Pass, q components.Part) []string {
	for i, c := range q.Rows("circuits") {
		if c["leg"].Str() == "both" {
			if t, ok := p.Circuit.At(q.ID, fmt.Sprintf("c%d", i+1), components.L1); ok && feedsNeutralLoad(p, q, t) {
				return []string{"both legs of " + circuitName(c, i)}
			}
		}
	}
	rows := q.Rows("circuits")
	for _, s := range sharedAmong(p, panelOrigins(p, q)) {
		for _, b := range s.Of[1:] {
			if i, j := min(b.Space, s.Of[0].Space), max(b.Space, s.Of[0].Space); rows[i]["leg"].Str() != rows[j]["leg"].Str() {
				return []string{circuitName(rows[i], i), circuitName(rows[j], j)}
			}
		}
	}
	return nil
}

// sharingIn are the spaces of a panel, from 0, whose circuits share a neutral.
func sharingIn(p *rules.Pass, q components.Part) []int {
	var all []int
	for _, s := range sharedAmong(p, panelOrigins(p, q)) {
		for _, b := range s.Of {
			all = append(all, b.Space)
		}
	}
	return all
}

// splitNeutrals gives every circuit of a panel that borrows a neutral one of its own.
func splitNeutrals(p *rules.Pass, q components.Part) []rules.Fix {
	for _, b := range panelOrigins(p, q) {
		if borrowed(p, b) {
			if fixes := ownNeutralFor(p, b); len(fixes) > 0 {
				return fixes
			}
		}
	}
	return nil
}

// ownNeutralFor gives a circuit that borrows a neutral one of its own, where the run
// that brings its hot ends at the load.
func ownNeutralFor(p *rules.Pass, b origin) []rules.Fix {
	for _, r := range p.Doc.RunsAt(b.Part.Ref(b.Port)) {
		o, _ := p.Doc.Part(r.Other(b.Part.Ref(b.Port)).Part)
		if usesPort(o) == "" {
			continue
		}
		if fixes := bringNeutral(p, o, usesPort(o)); len(fixes) > 0 {
			return fixes
		}
	}
	return nil
}
