// Package rules holds the engine that reads a solved circuit and says what is
// wrong with it. A rule is a value; the rules themselves stand in rules/checks.
package rules

import (
	"rigline/components"
	"rigline/rules/circuit"
)

// Level is how bad a finding is.
type Level int

// The levels. Danger can kill or start a fire in ordinary use; a violation breaks
// a clause or a device's limit; advice is performance, durability or practice.
const (
	Advice Level = iota + 1
	Violation
	Danger
)

func (l Level) String() string {
	switch l {
	case Danger:
		return "danger"
	case Violation:
		return "violation"
	}
	return "advice"
}

// Seen says how a clause was checked.
type Seen string

// How a basis was checked: read in public text, common practice that no document
// gives, or from memory, to be looked up in the book.
const (
	Published Seen = "published"
	Practice  Seen = "common practice, no source"
	Memory    Seen = "from memory"
)

// Basis is what a rule rests on.
type Basis struct {
	Source string `json:"source"`
	Clause string `json:"clause,omitempty"`
	Says   string `json:"says,omitempty"`
	Seen   Seen   `json:"seen"`
	// Set is the one rule set that it is quoted under; "" is quoted under all.
	Set string `json:"rule_set,omitempty"`
}

// Rule is one thing that must hold.
type Rule struct {
	ID    string // family and name, kept for good
	Title string // what is wrong when it speaks
	Must  string // what has to hold, in plain words
	Basis []Basis
	Level Level // at its worst
	// Set is the one rule set that the rule belongs to, as a project's basis names
	// it; "" belongs to all. A rule set is the rules of its name and those of none.
	Set string
	// OnePerPlace folds findings at one address into the worst of them, whatever
	// else they speak of: a conductor that three devices are too large for is one
	// mistake.
	OnePerPlace bool
	// Stateless tells that the rule asks nothing of a state: it is asked in the first
	// alone, and what it finds there holds in every one. Where relays join the DC side in
	// some states and part it in others, it is asked once for each way that they stand.
	Stateless bool
	// Explains are the rules whose findings at a shared address follow from this
	// one's: they stand behind it until it is put right.
	Explains []string
	// Check looks at one operating state. It is called for every state, of a rule that needs them, and a
	// finding that several states share is told once, with their names. After an edit a
	// rule that had nothing to say of a state is not asked again before something that
	// it read there has changed, so that it must find all that it goes by in its pass.
	Check func(p *Pass)
}

// BasisOf is what the rule rests on under a rule set: what belongs to none and what
// belongs to it.
func (r *Rule) BasisOf(set string) []Basis {
	var all []Basis
	for _, b := range r.Basis {
		if b.Set == "" || b.Set == set {
			all = append(all, b)
		}
	}
	return all
}

// Fix is one way out of a finding: an order, and the edits that carry it out.
type Fix struct {
	Title string
	Edits []components.Edit
	// TakesOff tells that it takes off the drawing what a person put there. The finding goes
	// with it, whether or not the part is in the rig, so that a person chooses it: it is
	// proposed and never applied in a round of repairs.
	TakesOff bool
}

// Finding is one thing that is wrong, or that could not be checked, at one
// address, in the states it stands in.
type Finding struct {
	Rule      *Rule
	Level     Level
	At        string   // "F1", "W3", "BAT1.pos"
	Also      []string // other addresses it speaks of
	Message   string   // what is there, held against what, with both figures
	Working   []string // the arithmetic, a step a line
	RestsOn   []string // defaults that it believes
	States    []string
	Fixes     []Fix
	Unchecked bool                   // a figure is missing; Message names it
	Accepted  *components.Acceptance // taken as it is, with the reason
	Behind    []Finding              // what follows from it
	Causes    []string               // addresses beside its own at which what follows from it stands; not shown
}

// Addresses are At and Also.
func (f Finding) Addresses() []string { return append([]string{f.At}, f.Also...) }

// Report is the outcome of checking one document.
type Report struct {
	Doc       *components.Document
	Findings  []Finding // worst first; accepted ones at the end
	Unchecked []Finding
	States    []components.State
	Stale     []components.Acceptance // acceptances that match nothing any more

	laid  *circuit.Layout
	book  []*Rule
	asked []asked // by state
}

// Counts are the open findings by level and the accepted ones.
type Counts struct {
	Danger    int `json:"danger"`
	Violation int `json:"violation"`
	Advice    int `json:"advice"`
	Accepted  int `json:"accepted"`
	Unchecked int `json:"unchecked"`
}

// Counts counts the findings.
func (r *Report) Counts() Counts {
	var c Counts
	for _, f := range r.Findings {
		switch {
		case f.Accepted != nil:
			c.Accepted++
		case f.Level == Danger:
			c.Danger++
		case f.Level == Violation:
			c.Violation++
		default:
			c.Advice++
		}
	}
	c.Unchecked = len(r.Unchecked)
	return c
}

// Ready tells whether nothing stands against following the pre-power-up
// checklist. It never says that a rig is safe.
func (r *Report) Ready() bool {
	c := r.Counts()
	return c.Danger == 0 && c.Violation == 0
}

// Readiness is the one line under the sheet.
func (r *Report) Readiness() string {
	c := r.Counts()
	switch {
	case len(r.Doc.Parts()) == 0:
		return "Nothing drawn yet"
	case c.Danger > 0 && c.Violation > 0:
		return plural(c.Danger, "danger") + ", " + plural(c.Violation, "violation") + ": do not energize"
	case c.Danger > 0:
		return plural(c.Danger, "danger") + ": do not energize"
	case c.Violation > 0:
		return plural(c.Violation, "violation") + ": correct before use"
	case r.apart() > 0:
		return "No danger or violation found yet, but " + plural(r.apart(), "part") + " " + stands(r.apart()) + " unconnected. Draw the runs first"
	case c.Unchecked > 0:
		return "No danger or violation found, but " + plural(c.Unchecked, "check") + " " + lacks(c.Unchecked) + " a figure. Supply " + them(c.Unchecked) + ", then follow the pre-power-up checklist"
	case c.Advice > 0:
		return "No danger or violation found; " + pieces(c.Advice) + " of advice. Follow the pre-power-up checklist"
	}
	return "No open findings. Follow the pre-power-up checklist"
}

// them is what so many figures are called again.
func them(n int) string {
	if n == 1 {
		return "it"
	}
	return "them"
}

// apart counts the parts that no run ends at: of what is not joined up, the rules
// have little to say.
func (r *Report) apart() int {
	joined := map[components.ID]bool{}
	for _, run := range r.Doc.Runs() {
		joined[run.From.Part], joined[run.To.Part] = true, true
	}
	n := 0
	for _, p := range r.Doc.Parts() {
		if !joined[p.ID] && !p.Gone() {
			n++
		}
	}
	return n
}

func stands(n int) string {
	if n == 1 {
		return "stands"
	}
	return "stand"
}

func lacks(n int) string {
	if n == 1 {
		return "lacks"
	}
	return "lack"
}

func pieces(n int) string { return plural(n, "piece") }
