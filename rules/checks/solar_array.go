package checks

import (
	"slices"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// pvArray is a solar array that feeds something by its positive, with the arrays in
// series below it where one string is drawn as several symbols.
type pvArray struct {
	components.Part
	under []components.Part // from the top down
}

// all are the arrays of the string, from the top down.
func (a pvArray) all() []components.Part { return append([]components.Part{a.Part}, a.under...) }

// alone tells whether the array is one symbol.
func (a pvArray) alone() bool { return len(a.under) == 0 }

// last is the lowest array of the string.
func (a pvArray) last() components.Part {
	if a.alone() {
		return a.Part
	}
	return a.under[len(a.under)-1]
}

// name is what messages call it: "PV1", or "PV1 with PV2 in series".
func (a pvArray) name() string {
	if a.alone() {
		return string(a.ID)
	}
	return string(a.ID) + " with " + joinIDs(a.under) + " in series"
}

func joinIDs(parts []components.Part) string {
	var ids []string
	for _, q := range parts {
		ids = append(ids, string(q.ID))
	}
	return strings.Join(ids, ", ")
}

// missing is the first array of the string of which one of the figures is not known.
func (a pvArray) missing(keys ...string) (q components.Part, key string, missing bool) {
	for _, q := range a.all() {
		for _, key := range keys {
			if !q.Figure(key).Known() {
				return q, key, true
			}
		}
	}
	return q, "", false
}

// isc is the short-circuit current of one string, A: that of its strongest module,
// since the others are bypassed where they cannot carry it.
func (a pvArray) isc() float64 { return a.largest("isc_a") }

// strings are the strings in parallel.
func (a pvArray) strings() float64 { return a.largest("parallel") }

// stands is the largest series fuse that the weakest module allows, A, 0 where one is
// not known.
func (a pvArray) stands() float64 {
	least := 0.0
	for i, q := range a.all() {
		f := q.Figure("max_fuse_a")
		if !f.Known() {
			return 0
		}
		if i == 0 || f.Value < least {
			least = f.Value
		}
	}
	return least
}

func (a pvArray) largest(key string) float64 {
	most := 0.0
	for _, q := range a.all() {
		most = max(most, q.Figure(key).Value)
	}
	return most
}

// vmp is the voltage of a string at full power, V.
func (a pvArray) vmp() float64 {
	volts := 0.0
	for _, q := range a.all() {
		volts += q.Figure("series").Value * q.Figure("vmp_v").Value
	}
	return volts
}

// watts are what it gives in full sun.
func (a pvArray) watts() float64 {
	watts := 0.0
	for _, q := range a.all() {
		watts += q.Figure("series").Value * q.Figure("vmp_v").Value * q.Figure("parallel").Value * q.Figure("imp_a").Value
	}
	return watts
}

type arraysKey struct{}

// arrayAt is a solar array's place in the document and its positive terminal.
type arrayAt struct {
	part int
	pos  circuit.Term
}

// allArrays are the solar arrays of the drawing.
func allArrays(p *rules.Pass) []arrayAt {
	return circuit.Lasting(p.Circuit, arraysKey{}, func() []arrayAt {
		var all []arrayAt
		for i, q := range p.Doc.Parts() {
			if q.Kind != &components.SolarArray || q.Gone() {
				continue
			}
			if pos, ok := p.Circuit.At(q.ID, "out", components.Pos); ok {
				all = append(all, arrayAt{i, pos})
			}
		}
		return all
	})
}

// arraysOn are the solar arrays whose positive is on a terminal's net.
func arraysOn(p *rules.Pass, t circuit.Term) []pvArray {
	var arrays []pvArray
	for _, a := range allArrays(p) {
		if p.Circuit.Net(a.pos) == p.Circuit.Net(t) {
			arrays = append(arrays, stringFrom(p, p.Doc.Parts()[a.part]))
		}
	}
	return arrays
}

// stringFrom is an array with those in series below it.
func stringFrom(p *rules.Pass, top components.Part) pvArray {
	a := pvArray{Part: top}
	for _, id := range p.Circuit.InSeries(top.ID)[1:] {
		q, _ := p.Doc.Part(id)
		a.under = append(a.under, q)
	}
	return a
}

// stringOf is the string in which an array stands, from its uppermost one down.
func stringOf(p *rules.Pass, q components.Part) pvArray {
	whole := stringFrom(p, q)
	for _, a := range allArrays(p) {
		o := stringFrom(p, p.Doc.Parts()[a.part])
		if len(o.under) > len(whole.under) && slices.ContainsFunc(o.under, func(u components.Part) bool { return u.ID == q.ID }) {
			whole = o
		}
	}
	return whole
}
