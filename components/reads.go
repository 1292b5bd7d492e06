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
		for i := range k.Fields {
			all.add(&k.Fields[i])
		}
	}
	return all
}

// FieldsOfRuns is the set of the fields of runs.
func FieldsOfRuns() FieldSet {
	var all FieldSet
	for i := range RunFields {
		all.add(&RunFields[i])
	}
	return all
}

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
	number := func(fields []Field) {
		for i := range fields {
			fields[i].number = n
			n = (n + 1) % uint16(64*len(FieldSet{}))
		}
	}
	number(RunFields)
	for _, k := range Catalog {
		number(k.Fields)
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
		r.set = r.set.And(FieldsOf(k))
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

// Changed are the fields in which a document differs from another. ok is false where
// they differ in more than in figures and in places on the sheet.
func (d *Document) Changed(from *Document) (fields FieldSet, ok bool) {
	if d.Basis != from.Basis || d.Units != from.Units || d.AmbientC != from.AmbientC || d.ConductorTempC != from.ConductorTempC || d.Ampacity != from.Ampacity ||
		len(d.parts) != len(from.parts) || len(d.runs) != len(from.runs) {
		return fields, false
	}
	for i := range d.parts {
		p, q := &d.parts[i], &from.parts[i]
		if p.ID != q.ID || p.Kind != q.Kind || p.Status != q.Status || p.Name != q.Name || p.Note != q.Note {
			return fields, false
		}
		fields.differ(p.Kind.Fields, p.Spec, q.Spec)
	}
	for i := range d.runs {
		p, q := &d.runs[i], &from.runs[i]
		if p.ID != q.ID || p.From != q.From || p.To != q.To || p.Status != q.Status || p.Note != q.Note || (p.Cores == nil) != (q.Cores == nil) || !slices.Equal(p.Cores, q.Cores) {
			return fields, false
		}
		fields.differ(RunFields, p.Spec, q.Spec)
	}
	return fields, true
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
