// Package compare tells two drawings of one rig apart: what the second adds, takes
// out, replaces, resizes and moves, as a list, as one sheet with both, and as what
// is to be bought.
package compare

import (
	"fmt"
	"maps"
	"slices"
	"strings"

	"rigline/components"
)

// Sort is what became of a part or a run.
type Sort string

// The sorts of change, in the order of the list. A part is replaced where another
// kind has its tag. A thing is resized where a size, a
// rating or a length of its changed, refitted where a panel stays and another
// breaker or fuse sits in it, changed where another figure did, and moved where a
// run ends elsewhere. What is only drawn at another place is redrawn, and nothing
// is to be done.
const (
	Added    Sort = "added"
	Removed  Sort = "removed"
	Replaced Sort = "replaced"
	Resized  Sort = "resized"
	Refitted Sort = "refitted"
	Changed  Sort = "changed"
	Moved    Sort = "moved"
	Redrawn  Sort = "redrawn"
)

// Sorts are all sorts in the order of the list.
var Sorts = []Sort{Added, Removed, Replaced, Resized, Refitted, Changed, Moved, Redrawn}

// Change is one difference.
type Change struct {
	Sort    Sort          `json:"sort"`
	ID      components.ID `json:"id"`
	Run     bool          `json:"run"`
	What    string        `json:"what"`    // "Fuse, Main", "BAT1.pos to F1.line, 2/0 AWG"
	Details []string      `json:"details"` // what was and what is, a figure each
}

// Difference is all that tells two drawings apart.
type Difference struct {
	Old, New *components.Document
	Changes  []Change // by sort, then by tag, parts first
	Kept     int      // parts and runs that stay as they are
}

// Of compares two drawings by their tags. What a drawing marks as coming out is
// not there any more.
func Of(old, new *components.Document) Difference {
	d := Difference{Old: old, New: new}
	for _, p := range new.Parts() {
		was, ok := presentPart(old, p.ID)
		switch {
		case p.Gone() && ok:
			d.add(Change{Removed, p.ID, false, partWords(was), nil})
		case p.Gone():
		case !ok:
			d.add(Change{Added, p.ID, false, partWords(p), nil})
		default:
			d.part(was, p)
		}
	}
	for _, p := range old.Parts() {
		if _, ok := new.Part(p.ID); !ok && !p.Gone() {
			d.add(Change{Removed, p.ID, false, partWords(p), nil})
		}
	}
	for _, r := range new.Runs() {
		was, ok := presentRun(old, r.ID)
		switch {
		case r.Gone() && ok:
			d.add(Change{Removed, r.ID, true, runWords(was), nil})
		case r.Gone():
		case !ok:
			d.add(Change{Added, r.ID, true, runWords(r), nil})
		default:
			d.run(was, r)
		}
	}
	for _, r := range old.Runs() {
		if _, ok := new.Run(r.ID); !ok && !r.Gone() {
			d.add(Change{Removed, r.ID, true, runWords(r), nil})
		}
	}
	slices.SortStableFunc(d.Changes, func(a, b Change) int {
		if n := slices.Index(Sorts, a.Sort) - slices.Index(Sorts, b.Sort); n != 0 {
			return n
		}
		if a.Run != b.Run {
			if b.Run {
				return -1
			}
			return 1
		}
		return components.CompareIDs(a.ID, b.ID)
	})
	return d
}

func (d *Difference) add(c Change) { d.Changes = append(d.Changes, c) }

// Count tells how many changes of a sort there are.
func (d Difference) Count(s Sort) int {
	n := 0
	for _, c := range d.Changes {
		if c.Sort == s {
			n++
		}
	}
	return n
}

// Bought tells whether the thing itself is bought anew by a change of this sort.
func (s Sort) Bought() bool { return s == Added || s == Replaced || s == Resized }

// Same tells whether nothing is to be done.
func (d Difference) Same() bool { return len(d.Changes) == d.Count(Redrawn) }

func presentPart(doc *components.Document, id components.ID) (components.Part, bool) {
	p, ok := doc.Part(id)
	return p, ok && !p.Gone()
}

func presentRun(doc *components.Document, id components.ID) (components.Run, bool) {
	r, ok := doc.Run(id)
	return r, ok && !r.Gone()
}

func partWords(p components.Part) string {
	words := []string{p.Kind.Title}
	if rating := p.Kind.Rating(p.Spec); rating != "" {
		words = append(words, rating)
	}
	if p.Name != "" {
		words = append(words, p.Name)
	}
	return strings.Join(words, ", ")
}

func runWords(r components.Run) string {
	size, _ := r.Value("size")
	text := size.String()
	if !size.Known() {
		text = "size not known"
	}
	return fmt.Sprintf("%s to %s, %s", r.From, r.To, text)
}

func (d *Difference) part(was, is components.Part) {
	if was.Kind != is.Kind {
		d.add(Change{Replaced, is.ID, false, partWords(is), []string{"a " + was.Kind.Title + " becomes a " + is.Kind.Title}})
		return
	}
	resized, refitted, details := specs(was.Kind.Fields, was.Spec, is.Spec, is.Status == components.Existing)
	if resized && is.Kind == &components.InverterCharger {
		resized = resizedBut("charge_a", was.Kind.Fields, was.Spec, is.Spec) // set on it
	}
	if resized && is.Kind.Role == components.Uses && is.Status == components.Existing {
		resized = false // an appliance that is there and was measured anew
	}
	if was.Name != is.Name {
		details = append(details, told("name", was.Name, is.Name))
	}
	switch {
	case resized:
		d.add(Change{Resized, is.ID, false, partWords(is), details})
	case refitted:
		d.add(Change{Refitted, is.ID, false, partWords(is), details})
	case len(details) > 0:
		d.add(Change{Changed, is.ID, false, partWords(is), details})
	case was.At != is.At || was.Turn != is.Turn:
		d.add(Change{Redrawn, is.ID, false, partWords(is), nil})
	default:
		d.Kept++
	}
}

func (d *Difference) run(was, is components.Run) {
	resized, _, details := specs(components.RunFields, was.Spec, is.Spec, is.Status == components.Existing)
	var ends []string
	from, to := is.From, is.To
	if was.From == is.To && was.To == is.From { // drawn the other way round
		from, to = to, from
	}
	if was.From != from {
		ends = append(ends, fmt.Sprintf("from %s to %s", was.From, from))
	}
	if was.To != to {
		ends = append(ends, fmt.Sprintf("from %s to %s", was.To, to))
	}
	before, now := cores(d.Old, was), cores(d.New, is)
	if before != now && len(ends) == 0 {
		details = append(details, told("cores", before, now))
	}
	switch {
	case resized:
		d.add(Change{Resized, is.ID, true, runWords(is), append(details, ends...)})
	case len(ends) > 0:
		d.add(Change{Moved, is.ID, true, runWords(is), append(ends, details...)})
	case len(details) > 0:
		d.add(Change{Changed, is.ID, true, runWords(is), details})
	case !slices.Equal(was.Path, is.Path):
		d.add(Change{Redrawn, is.ID, true, runWords(is), nil})
	default:
		d.Kept++
	}
}

func cores(doc *components.Document, r components.Run) string {
	var words []string
	for _, c := range doc.CoresOf(r) {
		words = append(words, c.String())
	}
	return strings.Join(words, " ")
}

// sizing are the fields that make a thing larger or smaller, beside those in
// amperes, volt-amperes, watts and ampere-hours.
var sizing = map[string]bool{"size": true, "ground_size": true, "sets": true, "length_ft": true, "cable": true, "family": true, "nominal_v": true, "series": true, "parallel": true, "service": true}

// sayMore are figures in amperes and watts that say more of a thing and do not make it
// another: what is set on it, what was measured of it, what its plate allows beside it.
var sayMore = map[string]bool{"input_limit_a": true, "idle_w": true, "fault_a": true, "available_fault_a": true, "start_va": true, "max_breaker_a": true, "max_fuse_a": true, "cca_a": true}

// fitting are the fields of what sits in a panel, or on the strings of a bank, and is
// changed without it.
var fitting = map[string]bool{"main_a": true, "circuits": true, "string_fuse_a": true}

// specs tells the figures that changed, and whether one of them is of the thing's
// size or of what sits in it. A default that was told is the same.
// A figure of a thing that is there, told for the first time, was learned of it.
func specs(fields []components.Field, was, is components.Spec, there bool) (resized, refitted bool, details []string) {
	for i := range fields {
		f := &fields[i]
		a, fromA := f.Of(was)
		b, fromB := f.Of(is)
		if a.Equal(b) && (fromA == components.Missing) == (fromB == components.Missing) || fromA == components.Missing && fromB == components.Missing {
			continue
		}
		say := func(v components.Value, from components.Origin) string {
			if from == components.Missing {
				return ""
			}
			return strings.TrimSpace(v.String() + " " + f.Unit)
		}
		if f.Type == components.Rows {
			details = append(details, rows(f, a.Rows(), b.Rows())...)
		} else {
			details = append(details, told(strings.ToLower(f.Title), say(a, fromA), say(b, fromB)))
		}
		if fitting[f.Key] {
			refitted = true
			continue
		}
		if learned := fromA == components.Missing || fromB == components.Missing; learned && (there || !f.Required && !sizing[f.Key]) {
			continue
		}
		resized = resized || sizing[f.Key] || slices.Contains([]string{"A", "VA", "W", "Ah"}, f.Unit) && !sayMore[f.Key]
	}
	return resized, refitted, details
}

// resizedBut tells whether a thing is resized beside one of its figures.
func resizedBut(key string, fields []components.Field, was, is components.Spec) bool {
	same := maps.Clone(is)
	delete(same, key)
	if v, ok := was[key]; ok {
		same[key] = v
	}
	resized, _, _ := specs(fields, was, same, false)
	return resized
}

// rows tells a table's rows apart, one by one: a panel's circuits.
func rows(f *components.Field, was, is []components.Spec) []string {
	var out []string
	words := func(all []components.Spec, i int) string {
		if i >= len(all) {
			return ""
		}
		var parts []string
		for _, key := range slices.Sorted(maps.Keys(all[i])) {
			parts = append(parts, key+" "+all[i][key].String())
		}
		return strings.Join(parts, ", ")
	}
	for i := range max(len(was), len(is)) {
		if i < len(was) && i < len(is) && was[i].Equal(is[i]) {
			continue
		}
		out = append(out, told(fmt.Sprintf("%s %d", strings.TrimSuffix(strings.ToLower(f.Title), "s"), i+1), words(was, i), words(is, i)))
	}
	return out
}

func told(what, was, is string) string {
	given := func(s string) string {
		if s == "" {
			return "not given"
		}
		return s
	}
	return fmt.Sprintf("%s: %s becomes %s", what, given(was), given(is))
}
