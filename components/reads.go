package components

import "slices"

// FieldSet is a set of fields, of parts by their kinds and of runs. Where there are more
// than it has places for, two share one, and are in it together or not at all.
type FieldSet [4]uint64

// everyField is the set of all that there are, and of whatever else there may be.
var everyField = FieldSet{^uint64(0), ^uint64(0), ^uint64(0), ^uint64(0)}

// EveryField is the set of all fields.
func EveryField() FieldSet { return everyField }

// FieldsOf is the set of the kinds' fields.
func FieldsOf(kinds ...*Kind) FieldSet {
	var all FieldSet
	for _, k := range kinds {
		all = all.And(k.fields)
	}
	return all
}

// FieldsOfRuns is the set of the fields of runs.
func FieldsOfRuns() FieldSet { return runFields }

var runFields FieldSet

// And is the set of the fields in either.
func (s FieldSet) And(o FieldSet) FieldSet {
	for i := range s {
		s[i] |= o[i]
	}
	return s
}

// Without is the set of the fields that are not in another.
func (s FieldSet) Without(o FieldSet) FieldSet {
	for i := range s {
		s[i] &^= o[i]
	}
	return s
}

// Meets tells whether a field is in both.
func (s FieldSet) Meets(o FieldSet) bool {
	for i := range s {
		if s[i]&o[i] != 0 {
			return true
		}
	}
	return false
}

// Empty tells whether there is none.
func (s FieldSet) Empty() bool { return s == FieldSet{} }

func (s *FieldSet) add(f *Field) { s[f.number/64] |= 1 << (f.number % 64) }

// numberFields gives every field its place in a FieldSet.
func numberFields() {
	n := uint16(0)
	number := func(fields []Field) FieldSet {
		var all FieldSet
		for i := range fields {
			fields[i].number = n
			n = (n + 1) % uint16(64*len(FieldSet{}))
			all.add(&fields[i])
		}
		return all
	}
	runFields = number(RunFields)
	for _, k := range Catalog {
		k.fields = number(k.Fields)
	}
}

// Reads is the set of fields that were read through a watched document. It belongs to
// one goroutine.
type Reads struct{ set FieldSet }

// Begin forgets what was read.
func (r *Reads) Begin() { r.set = FieldSet{} }

// Fields are those that were read.
func (r *Reads) Fields() FieldSet { return r.set }

// Add counts fields as read, as those of an answer that is given again. A nil Reads
// counts nothing.
func (r *Reads) Add(fields FieldSet) {
	if r != nil {
		r.set = r.set.And(fields)
	}
}

// During does some work and gives the fields that it read, which is all of them where
// nothing is watched.
func (r *Reads) During(work func()) FieldSet {
	if r == nil {
		work()
		return everyField
	}
	before := r.set
	r.set = FieldSet{}
	work()
	read := r.set
	r.set = r.set.And(before)
	return read
}

func (r *Reads) field(k *Kind, f *Field) {
	switch {
	case r == nil:
	case f.Derive == nil:
		r.set.add(f)
	default: // it follows from others of the kind
		r.set = r.set.And(k.fields)
	}
}

// Watched is the document with every figure that is read of it noted. What is derived
// from it by Apply is not watched, and everything counts as read.
func (d *Document) Watched(r *Reads) *Document {
	w := d.clone()
	w.whole, w.reads = true, r
	for i := range w.parts {
		w.parts[i].reads = r
	}
	for i := range w.runs {
		w.runs[i].reads = r
	}
	known := d.index()
	w.once.Do(func() { w.known = known })
	return w
}

// unwatch lets a copy's parts and runs go.
func (d *Document) unwatch() {
	for i := range d.parts {
		d.parts[i].reads = nil
	}
	for i := range d.runs {
		d.runs[i].reads = nil
	}
}

// Reads is what the document is watched by, nil where it is not.
func (d *Document) Reads() *Reads { return d.reads }

// Watched is the part with every figure that is read of it noted.
func (p Part) Watched(r *Reads) Part {
	p.reads = r
	return p
}

// SameBones tells whether two documents have the same parts and the same runs between
// them, whatever is told of either.
func (d *Document) SameBones(o *Document) bool {
	return d.Basis == o.Basis &&
		slices.EqualFunc(d.parts, o.parts, func(p, q Part) bool { return p.ID == q.ID && p.Kind == q.Kind && p.Status == q.Status }) &&
		slices.EqualFunc(d.runs, o.runs, Run.SameWay)
}

// SameWay tells whether two runs lead the same way with the same cores.
func (r Run) SameWay(s Run) bool {
	return r.ID == s.ID && r.From == s.From && r.To == s.To && r.Status == s.Status && (r.Cores == nil) == (s.Cores == nil) && slices.Equal(r.Cores, s.Cores)
}

// FieldsChanged are the fields in which a document differs from another of the same
// bones.
func (d *Document) FieldsChanged(from *Document) FieldSet {
	var fields FieldSet
	for i := range d.parts {
		fields.differ(d.parts[i].Kind.Fields, d.parts[i].Spec, from.parts[i].Spec)
	}
	for i := range d.runs {
		fields.differ(RunFields, d.runs[i].Spec, from.runs[i].Spec)
	}
	return fields
}

// SameWords tells whether nothing but figures and places on the sheet differs between
// two documents of the same bones and states.
func (d *Document) SameWords(o *Document) bool {
	return len(d.States) == len(o.States) && d.Units == o.Units && d.AmbientC == o.AmbientC && d.ConductorTempC == o.ConductorTempC && d.Ampacity == o.Ampacity &&
		slices.EqualFunc(d.parts, o.parts, func(p, q Part) bool { return p.Name == q.Name && p.Note == q.Note }) &&
		slices.EqualFunc(d.runs, o.runs, func(r, s Run) bool { return r.Note == s.Note })
}

func (s *FieldSet) differ(fields []Field, a, b Spec) {
	if a.Same(b) {
		return
	}
	for i := range fields {
		f := &fields[i]
		x, inA := a[f.Key]
		y, inB := b[f.Key]
		if inA != inB || !x.Equal(y) {
			s.add(f)
		}
	}
}
