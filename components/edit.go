package components

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode/utf8"
)

// Edit is one change to a document. A drag, a form field, a paste and a repair
// all end in these few.
type Edit interface {
	apply(d *Document) error
	String() string // as an order, for a list of changes
}

// Apply gives the document after the edits, or, where one of them does not fit,
// an error and no document.
func (d *Document) Apply(edits ...Edit) (*Document, error) {
	next := d.clone()
	if d.reads != nil {
		d.reads.Add(everyField)
		next.unwatch()
	}
	for _, e := range edits {
		if err := e.apply(next); err != nil {
			return nil, fmt.Errorf("%s: %w", e, err)
		}
	}
	next.whole = true
	if d.whole {
		next.follow(d)
	}
	return next, nil
}

// AddPart puts a part on the sheet.
type AddPart struct{ Part Part }

// RemovePart takes a part off the sheet. No run may end at it any more.
type RemovePart struct{ ID ID }

// MovePart puts a part at another place and turn.
type MovePart struct {
	ID   ID
	At   Point
	Turn int
}

// RenamePart gives a part another tag; its runs follow.
type RenamePart struct{ ID, To ID }

// Set tells one field of a part or a run; an absent value takes it out.
type Set struct {
	On    ID
	Key   string
	Value Value
}

// Describe sets what is told of a part beside its figures: name, status, note
// and purchase.
type Describe struct {
	ID     ID
	Name   string
	Status Status
	Note   string
	Buy    Purchase
}

// PinPart pins a part in its place, or lets it go.
type PinPart struct {
	ID     ID
	Pinned bool
}

// AddRun draws a run.
type AddRun struct{ Run Run }

// RemoveRun takes a run out.
type RemoveRun struct{ ID ID }

// Reroute changes where a run ends, its cores, its bend points or its status.
type Reroute struct {
	ID       ID
	From, To PortRef
	Cores    []Core
	Path     []Point
	Status   Status
	Note     string
}

// SetProject changes what is told of the rig as a whole.
type SetProject struct {
	Title          string
	Rig            Rig
	Basis, Units   string
	AmbientC       float64
	ConductorTempC float64
	Ampacity       string
}

// Accept takes a finding as it is; a second acceptance of the same replaces the first.
type Accept struct{ Acceptance }

// Unaccept takes an acceptance back.
type Unaccept struct {
	Rule string
	On   []string
}

// SetNotes replaces the mark-ups.
type SetNotes struct{ Notes []Note }

// SetRevisions replaces the table of revisions.
type SetRevisions struct{ Revisions []Revision }

// SetStates replaces the operating states; none means worked out.
type SetStates struct{ States []State }

func (e AddPart) String() string    { return "Add " + string(e.Part.ID) }
func (e RemovePart) String() string { return "Remove " + string(e.ID) }
func (e MovePart) String() string   { return "Move " + string(e.ID) }
func (e RenamePart) String() string { return fmt.Sprintf("Rename %s to %s", e.ID, e.To) }
func (e Set) String() string {
	if !e.Value.Told() {
		return fmt.Sprintf("Clear %s of %s", e.Key, e.On)
	}
	return fmt.Sprintf("Set %s of %s to %s", e.Key, e.On, e.Value)
}
func (e Describe) String() string { return "Describe " + string(e.ID) }
func (e PinPart) String() string {
	if e.Pinned {
		return "Pin " + string(e.ID)
	}
	return "Let go " + string(e.ID)
}
func (e AddRun) String() string {
	return fmt.Sprintf("Run %s from %s to %s", e.Run.ID, e.Run.From, e.Run.To)
}
func (e RemoveRun) String() string  { return "Remove " + string(e.ID) }
func (e Reroute) String() string    { return fmt.Sprintf("Reroute %s from %s to %s", e.ID, e.From, e.To) }
func (SetProject) String() string   { return "Change the project" }
func (e Accept) String() string     { return "Accept " + e.Rule }
func (e Unaccept) String() string   { return "Take back the acceptance of " + e.Rule }
func (SetNotes) String() string     { return "Change the mark-ups" }
func (SetRevisions) String() string { return "Change the revisions" }
func (SetStates) String() string    { return "Change the states" }

func (e AddPart) apply(d *Document) error {
	if err := checkID(d, e.Part.ID); err != nil {
		return err
	}
	if e.Part.Kind == nil {
		return fmt.Errorf("the part has no kind")
	}
	i, _ := findPart(d.parts, e.Part.ID)
	d.parts = slices.Insert(d.parts, i, e.Part.Watched(nil))
	return nil
}

// checkID refuses a tag that the file could not hold or that is taken.
func checkID(d *Document, id ID) error {
	if err := ValidID(id); err != nil {
		return err
	}
	_, part := d.Part(id)
	_, run := d.Run(id)
	if part || run {
		return fmt.Errorf("the tag %s is taken: want another", id)
	}
	return nil
}

// ValidID refuses a tag that would not stand in an address: one that is empty,
// over 64 bytes, no UTF-8, or has a dot, a space or a control character in it.
func ValidID(id ID) error {
	if id == "" || len(id) > 64 || !utf8.ValidString(string(id)) || strings.ContainsFunc(string(id), func(r rune) bool { return r <= ' ' || r == '.' || r == 0x7f }) {
		return fmt.Errorf("tag %q: want 1 to 64 characters without dots or spaces", id)
	}
	return nil
}

func (e RemovePart) apply(d *Document) error {
	i, ok := findPart(d.parts, e.ID)
	if !ok {
		return fmt.Errorf("there is no part %s", e.ID)
	}
	if runs := d.RunsOf(e.ID); len(runs) > 0 {
		return fmt.Errorf("run %s still ends there: remove it first", runs[0].ID)
	}
	d.parts = slices.Delete(d.parts, i, i+1)
	d.forget(e.ID)
	return nil
}

func (e MovePart) apply(d *Document) error {
	return d.changePart(e.ID, func(p *Part) error {
		p.At, p.Turn = e.At, ((e.Turn%360)+360)%360
		return nil
	})
}

func (d *Document) changePart(id ID, change func(*Part) error) error {
	i, ok := findPart(d.parts, id)
	if !ok {
		return fmt.Errorf("there is no part %s", id)
	}
	return change(&d.parts[i])
}

func (d *Document) changeRun(id ID, change func(*Run) error) error {
	i, ok := findRun(d.runs, id)
	if !ok {
		return fmt.Errorf("there is no run %s", id)
	}
	return change(&d.runs[i])
}

func (e RenamePart) apply(d *Document) error {
	p, ok := d.Part(e.ID)
	if !ok {
		return fmt.Errorf("there is no part %s", e.ID)
	}
	if e.ID == e.To {
		return nil
	}
	if err := checkID(d, e.To); err != nil {
		return err
	}
	for i := range d.runs {
		r := &d.runs[i]
		if r.From.Part == e.ID {
			r.From.Part = e.To
		}
		if r.To.Part == e.ID {
			r.To.Part = e.To
		}
	}
	i, _ := findPart(d.parts, e.ID)
	d.parts = slices.Delete(d.parts, i, i+1)
	p.ID = e.To
	i, _ = findPart(d.parts, e.To)
	d.parts = slices.Insert(d.parts, i, p)
	d.retag(e.ID, e.To)
	return nil
}

func (e Set) apply(d *Document) error {
	if _, isRun := findRun(d.runs, e.On); isRun {
		return d.changeRun(e.On, func(r *Run) error {
			f, ok := RunField(e.Key)
			if !ok {
				return fmt.Errorf("runs have no %s", e.Key)
			}
			return setField(f, &r.Spec, e.Value)
		})
	}
	return d.changePart(e.On, func(p *Part) error {
		f, ok := p.Kind.Field(e.Key)
		if !ok {
			return fmt.Errorf("a %s has no %s", p.Kind.ID, e.Key)
		}
		before := p.Spec
		if err := setField(f, &p.Spec, e.Value); err != nil {
			return err
		}
		if !f.Shapes {
			return nil
		}
		if err := d.endsHold(*p); err != nil {
			p.Spec = before
			return err
		}
		return nil
	})
}

func setField(f *Field, s *Spec, v Value) error {
	if !v.Told() && f.Required {
		return fmt.Errorf("%s must be told, if only as unknown", f.Key)
	}
	if v.Told() {
		if err := f.Check(v); err != nil {
			return err
		}
	}
	*s = s.With(f.Key, v)
	return nil
}

// endsHold refuses a change of a part's ports that leaves a run without its
// terminal.
func (d *Document) endsHold(p Part) error {
	for _, r := range d.RunsOf(p.ID) {
		if err := d.CheckRun(r); err != nil {
			return fmt.Errorf("run %s would lose its end: %w", r.ID, err)
		}
	}
	return nil
}

// CheckRun says what is wrong with a run's ends and cores.
func (d *Document) CheckRun(r Run) error {
	_, a, err := d.portOrWhy(r.From)
	if err != nil {
		return err
	}
	_, b, err := d.portOrWhy(r.To)
	if err != nil {
		return err
	}
	if r.From == r.To {
		return fmt.Errorf("both ends are at %s: want two different ports", r.From)
	}
	if len(d.CoresOf(r)) == 0 {
		return fmt.Errorf("%s (%s) and %s (%s) have no pole in common: name the cores, as in [L>L1, N, G]", r.From, polesText(a.Poles), r.To, polesText(b.Poles))
	}
	for _, c := range r.Cores {
		if !a.Has(c.From) {
			return fmt.Errorf("%s has no %s: want one of %s", r.From, c.From, polesText(a.Poles))
		}
		if !b.Has(c.To) {
			return fmt.Errorf("%s has no %s: want one of %s", r.To, c.To, polesText(b.Poles))
		}
	}
	return nil
}

func (d *Document) portOrWhy(at PortRef) (Part, Port, error) {
	p, ok := d.Part(at.Part)
	if !ok {
		var ids []string
		for _, q := range d.parts {
			ids = append(ids, string(q.ID))
		}
		return p, Port{}, fmt.Errorf("there is no part %q%s", at.Part, DidYouMean(string(at.Part), ids))
	}
	port, ok := p.Port(at.Port)
	if !ok {
		return p, port, fmt.Errorf("%s has no port %q: want %s%s", at.Part, at.Port, oneOf(p.PortNames()), DidYouMean(at.Port, p.PortNames()))
	}
	return p, port, nil
}

func polesText(poles []Pole) string {
	words := make([]string, len(poles))
	for i, p := range poles {
		words[i] = string(p)
	}
	return strings.Join(words, " ")
}

func (e Describe) apply(d *Document) error {
	return d.changePart(e.ID, func(p *Part) error {
		p.Name, p.Status, p.Note, p.Buy = e.Name, e.Status, e.Note, e.Buy
		return nil
	})
}

func (e PinPart) apply(d *Document) error {
	return d.changePart(e.ID, func(p *Part) error { p.Pinned = e.Pinned; return nil })
}

func (e AddRun) apply(d *Document) error {
	if err := checkID(d, e.Run.ID); err != nil {
		return err
	}
	if err := d.CheckRun(e.Run); err != nil {
		return err
	}
	i, _ := findRun(d.runs, e.Run.ID)
	d.runs = slices.Insert(d.runs, i, e.Run.Watched(nil))
	return nil
}

func (e RemoveRun) apply(d *Document) error {
	i, ok := findRun(d.runs, e.ID)
	if !ok {
		return fmt.Errorf("there is no run %s", e.ID)
	}
	d.runs = slices.Delete(d.runs, i, i+1)
	d.forget(e.ID)
	return nil
}

func (e Reroute) apply(d *Document) error {
	return d.changeRun(e.ID, func(r *Run) error {
		next := *r
		next.From, next.To, next.Cores, next.Path, next.Status, next.Note = e.From, e.To, e.Cores, e.Path, e.Status, e.Note
		if err := d.CheckRun(next); err != nil {
			return err
		}
		*r = next
		return nil
	})
}

func (e SetProject) apply(d *Document) error {
	d.Title, d.Rig, d.Basis, d.Units, d.AmbientC, d.ConductorTempC = e.Title, e.Rig, e.Basis, e.Units, e.AmbientC, e.ConductorTempC
	d.Ampacity = cmp.Or(e.Ampacity, d.Ampacity)
	return nil
}

func (e Accept) apply(d *Document) error {
	if strings.TrimSpace(e.Reason) == "" {
		return fmt.Errorf("an acceptance needs a reason")
	}
	kept := slices.DeleteFunc(slices.Clone(d.Accepted), func(a Acceptance) bool { return a.Rule == e.Rule && slices.Equal(a.On, e.On) })
	d.Accepted = append(kept, e.Acceptance)
	return nil
}

func (e Unaccept) apply(d *Document) error {
	d.Accepted = slices.DeleteFunc(slices.Clone(d.Accepted), func(a Acceptance) bool { return a.Rule == e.Rule && slices.Equal(a.On, e.On) })
	return nil
}

func (e SetNotes) apply(d *Document) error     { d.Notes = e.Notes; return nil }
func (e SetRevisions) apply(d *Document) error { d.Revisions = e.Revisions; return nil }
func (e SetStates) apply(d *Document) error    { d.States = e.States; return nil }

// Project gives the edit that would change nothing, to change one thing in.
func (d *Document) Project() SetProject {
	return SetProject{d.Title, d.Rig, d.Basis, d.Units, d.AmbientC, d.ConductorTempC, d.Ampacity}
}

// Rerouted gives the edit that would leave a run as it is, to change one thing in.
func (r Run) Rerouted() Reroute {
	return Reroute{r.ID, r.From, r.To, r.Cores, r.Path, r.Status, r.Note}
}

// Described gives the edit that would leave a part as it is, to change one thing in.
func (p Part) Described() Describe { return Describe{p.ID, p.Name, p.Status, p.Note, p.Buy} }

// Delete gives the edits that take parts and runs out, and with a part every run
// that ends at it.
func (d *Document) Delete(ids ...ID) []Edit {
	var edits []Edit
	runs := map[ID]bool{}
	drop := func(id ID) {
		if !runs[id] {
			runs[id] = true
			edits = append(edits, RemoveRun{id})
		}
	}
	for _, id := range ids {
		if _, ok := d.Run(id); ok {
			drop(id)
		}
		for _, r := range d.RunsOf(id) {
			drop(r.ID)
		}
	}
	for _, id := range ids {
		if _, ok := d.Part(id); ok {
			edits = append(edits, RemovePart{id})
		}
	}
	return edits
}
