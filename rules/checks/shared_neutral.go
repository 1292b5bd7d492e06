package checks

import (
	"fmt"
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
func panelOrigins(q components.Part) []origin {
	var all []origin
	for i, c := range q.Rows("circuits") {
		if c["leg"].Str() != "both" {
			all = append(all, origin{q, fmt.Sprintf("c%d", i+1), i})
		}
	}
	return all
}

// looseOrigins are the breakers of one hot that stand alone.
func looseOrigins(p *rules.Pass) []origin {
	var all []origin
	for _, q := range p.Doc.Parts() {
		if q.Kind == &components.ACBreaker && !q.Gone() && q.Figure("hots").Value == 1 {
			all = append(all, origin{q, "load", -1})
		}
	}
	return all
}

// shared are circuits of which some come back on the neutral of one of them.
type shared struct {
	Lender    origin
	Borrowers []origin
}

// all are its circuits, the one whose neutral it is first.
func (s shared) all() []origin { return append([]origin{s.Lender}, s.Borrowers...) }

// names are its circuits, as a sentence names them.
func (s shared) names() string {
	var names []string
	for _, b := range s.all() {
		names = append(names, b.name())
	}
	return strings.Join(names[:len(names)-1], ", ") + " and " + names[len(names)-1]
}

// sharedAmong finds the circuits that share a neutral.
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
		s := shared{Lender: lender}
		for _, b := range borrowers {
			if b.address() != lender.address() && lends(p, b, lender) {
				s.Borrowers = append(s.Borrowers, b)
			}
		}
		if len(s.Borrowers) > 0 {
			all = append(all, s)
		}
	}
	return all
}

type sharedKey struct{}

// sharedNeutrals finds all circuits of the drawing that share a neutral: within a
// panel, and among the breakers that stand alone.
func sharedNeutrals(p *rules.Pass) []shared {
	return circuit.Lasting(p.Circuit, sharedKey{}, func() []shared {
		all := sharedAmong(p, looseOrigins(p))
		for _, q := range p.Doc.Parts() {
			if q.Kind == &components.Panel && !q.Gone() {
				all = append(all, sharedAmong(p, panelOrigins(q))...)
			}
		}
		return all
	})
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
	for t := range joined(p.Circuit, hot, func(l circuit.Link) bool { return l.Part != q.ID }) {
		term := p.Circuit.Terms[t]
		o, _ := p.Doc.Part(term.Part)
		if usesPort(o) != "" && term.Pole == components.L {
			return true
		}
	}
	return false
}

// lends tells whether the loads on one circuit's hot come back on another's neutral.
func lends(p *rules.Pass, borrower, lender origin) bool {
	c := p.Circuit
	hot, okH := c.At(borrower.Part.ID, borrower.Port, components.L)
	n, okN := c.At(lender.Part.ID, lender.Port, components.N)
	if !okH || !okN {
		return false
	}
	outside := func(l circuit.Link) bool { return l.Part != borrower.Part.ID && l.Part != lender.Part.ID }
	back := joined(c, n, outside)
	for t := range joined(c, hot, outside) {
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
	for _, s := range sharedAmong(p, panelOrigins(q)) {
		for _, b := range s.Borrowers {
			if i, j := min(b.Space, s.Lender.Space), max(b.Space, s.Lender.Space); rows[i]["leg"].Str() != rows[j]["leg"].Str() {
				return []string{circuitName(rows[i], i), circuitName(rows[j], j)}
			}
		}
	}
	return nil
}

// sharingIn are the spaces of a panel, from 0, whose circuits share a neutral.
func sharingIn(p *rules.Pass, q components.Part) []int {
	var all []int
	for _, s := range sharedAmong(p, panelOrigins(q)) {
		for _, b := range s.all() {
			all = append(all, b.Space)
		}
	}
	return all
}

// splitNeutrals gives every circuit of a panel that borrows a neutral one of its own.
func splitNeutrals(p *rules.Pass, q components.Part) []rules.Fix {
	for _, b := range panelOrigins(q) {
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
