package session

import (
	"fmt"
	"slices"

	"rigline/components"
)

type firstSheet struct {
	a        Answers
	doc      *components.Document
	err      error
	pos, neg string // the bars, as ports
	chassis  string
	inverter components.ID

	needs     map[components.ID]need
	now       need
	inverterA float64 // the inverter's fuse, 0 where its power is not known
	mainA     float64 // the bank's
	siteA     float64 // the site's breaker, 0 without a site
}

// told is a value of a field, by its key.
type told struct {
	key string
	v   components.Value
}

func num(key string, v float64) told { return told{key, components.Num(v)} }
func str(key, v string) told         { return told{key, components.Str(v)} }

// known is a figure, or unknown where it is not told.
func known(key string, v float64) told {
	if v <= 0 {
		return told{key, components.Unknown}
	}
	return num(key, v)
}

// chemistry is what the bank is made of, where that is known.
func (b *firstSheet) chemistry() told {
	if b.a.Chemistry == "" {
		return told{"chemistry", components.Unknown}
	}
	return str("chemistry", b.a.Chemistry)
}

func end(id components.ID, port string) string { return string(id) + "." + port }

func one(p components.Pole) components.Core { return components.Core{From: p, To: p} }

// plan works out the ratings that the rest is sized by.
func (b *firstSheet) plan() {
	b.inverterA = mainFuse(inverterAmps(b.a.InverterVA, b.a.BankV))
	b.mainA = b.inverterA
	if b.a.Inverter == "" {
		b.mainA = 100 // usual for a house bank without an inverter (common practice, no source)
	}
	if b.a.Supply != "" {
		b.siteA = components.ServiceAmps(b.a.Supply)
	}
}

// lead says what the runs that follow carry.
func (b *firstSheet) lead(amps float64, cable string) { b.now = need{amps, cable} }

// part adds a part of a kind; what is not told of it is unknown.
func (b *firstSheet) part(kind *components.Kind, name string, spec ...told) components.ID {
	p := NewPart(b.doc, kind)
	p.Name = name
	for _, t := range spec {
		p.Spec = p.Spec.With(t.key, t.v)
	}
	b.do(components.AddPart{Part: p})
	return p.ID
}

// fuse adds a fuse of a rating, where that is known.
func (b *firstSheet) fuse(name string, family string, amps float64) components.ID {
	if amps <= 0 {
		return b.part(&components.Fuse, name)
	}
	return b.part(&components.Fuse, name, str("family", family), num("rating_a", amps))
}

// run adds a run between ports told as "BAT1.pos".
func (b *firstSheet) run(from, to string, cores ...components.Core) {
	f, errF := components.ParsePortRef(from)
	t, errT := components.ParsePortRef(to)
	if errF != nil || errT != nil {
		b.err = fmt.Errorf("%s to %s", from, to)
		return
	}
	spec := components.Spec{"size": components.Unknown, "length_ft": components.Unknown}
	id := b.doc.FreeID("W")
	b.needs[id] = b.now
	b.do(components.AddRun{Run: components.Run{ID: id, From: f, To: t, Cores: cores, Spec: spec}})
}

func (b *firstSheet) do(e components.Edit) {
	if b.err != nil {
		return
	}
	next, err := b.doc.Apply(e)
	if err != nil {
		b.err = err
		return
	}
	b.doc = next
}

// asFound leaves open what only a look at what is there already can tell: the make
// of its cables, and what its fuses and breakers are rated at.
func (b *firstSheet) asFound() {
	open := func(on components.ID, keys ...string) {
		for _, key := range keys {
			b.do(components.Set{On: on, Key: key, Value: components.Unknown})
		}
	}
	for _, r := range b.doc.Runs() {
		if r.Status == components.Existing {
			open(r.ID, "size", "length_ft", "cable")
		}
	}
	for _, p := range b.doc.Parts() {
		if p.Status != components.Existing {
			continue
		}
		switch p.Kind {
		case &components.Fuse:
			open(p.ID, "family", "rating_a")
		case &components.ACBreaker, &components.DCSwitch, &components.Busbar, &components.Receptacle:
			open(p.ID, "rating_a")
		case &components.Panel:
			open(p.ID, "main_a")
			b.circuitsAsFound(p, "breaker_a")
		case &components.DCPanel:
			b.circuitsAsFound(p, "fuse_a")
		}
	}
}

func (b *firstSheet) circuitsAsFound(p components.Part, key string) {
	rows := slices.Clone(p.Spec["circuits"].Rows())
	for i := range rows {
		rows[i] = rows[i].With(key, components.Unknown)
	}
	b.do(components.Set{On: p.ID, Key: "circuits", Value: components.Table(rows...)})
}

// statuses marks what is there already.
func (b *firstSheet) statuses() {
	if b.a.Exists == "" {
		return
	}
	there := func(p components.Part) bool {
		r := regionOf(p)
		switch b.a.Exists {
		case "ac":
			return r == acRegion && p.Kind.Group != components.Conversion
		case "dc":
			return r == dcRegion
		}
		return true
	}
	for _, p := range b.doc.Parts() {
		if there(p) {
			e := p.Described()
			e.Status = components.Existing
			b.do(e)
		}
	}
	for _, r := range b.doc.Runs() {
		from, _ := b.doc.Part(r.From.Part)
		to, _ := b.doc.Part(r.To.Part)
		if there(from) && there(to) {
			e := r.Rerouted()
			e.Status = components.Existing
			b.do(e)
		}
	}
}
