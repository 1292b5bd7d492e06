package projects

import (
	"gopkg.in/yaml.v3"

	"rigline/components"
)

var (
	partKeys = []string{"id", "kind", "name", "at", "turn", "pinned", "status", "spec", "buy", "note"}
	buyKeys  = []string{"description", "supplier", "part_no", "price"}
)

const priceHigh = 1e7

func (r *reader) parts(nodes []*yaml.Node) []components.Part {
	var parts []components.Part
	for i, n := range nodes {
		if p, ok := r.part(n, i); ok {
			parts = append(parts, p)
		}
	}
	return parts
}

// part reads one part. It gives one, for runs to end at, even where a detail of
// it is at fault; sound then says that its ports may not be the meant ones.
func (r *reader) part(n *yaml.Node, i int) (p components.Part, ok bool) {
	before := len(r.problems) + r.dropped
	s := r.opened(n, "part", "id", i)
	var kind *components.Kind
	if k := lookup(n, "kind"); k != nil {
		kind, _ = components.FindKind(k.Value)
	}
	found := s.entries(n, "it", partKeys, func(key string) string {
		if kind != nil {
			if _, isField := kind.Field(key); isField {
				return key + " belongs under spec"
			}
		}
		return ""
	})
	if found == nil {
		return p, false
	}
	if e, told := found["id"]; told {
		p.ID, ok = s.tag(e.value)
	} else {
		s.missing(n, "id", "a tag, as in BAT1")
	}
	if ok {
		r.index.put(string(p.ID), n.Line, n.Column)
	}
	if e, told := found["kind"]; !told {
		s.missing(n, "kind", "what the part is, as in battery")
	} else if e.value.Kind != yaml.ScalarNode || empty(e.value) {
		s.fault(e.value, "kind is %s: want what the part is, as in battery", shown(e.value))
	} else if kind == nil {
		s.fault(e.value, "%s", s.unknownWord("kind", e.value.Value, components.KindIDs()))
	}
	if e, told := found["name"]; told {
		p.Name = s.text(e.value, "name")
	}
	if e, told := found["at"]; told {
		p.At, _ = s.point(e.value, "at", true)
	}
	if e, told := found["turn"]; told {
		p.Turn = s.turn(e.value)
	}
	if e, told := found["pinned"]; told {
		p.Pinned = s.pinned(e.value)
	}
	p.Status = s.status(found)
	if kind != nil {
		s.partSpec(n, found, kind, &p)
	}
	if e, told := found["buy"]; told {
		p.Buy = s.buy(e.value)
	}
	if e, told := found["note"]; told {
		p.Note = s.text(e.value, "note")
	}
	r.sound[p.ID] = len(r.problems)+r.dropped == before
	return p, ok && kind != nil
}

func (s scope) partSpec(n *yaml.Node, found map[string]entry, kind *components.Kind, p *components.Part) {
	p.Kind = kind
	e, told := found["spec"]
	if !told {
		for i := range kind.Fields {
			if f := &kind.Fields[i]; f.Required {
				s.missing(n, "spec."+f.Key, required(f))
			}
		}
		return
	}
	inner := s
	inner.address = s.address + ".spec"
	p.Spec = inner.spec(e.value, "spec", kind.Fields)
}

func (s scope) turn(n *yaml.Node) int {
	turns := []string{"0", "90", "180", "270"}
	for i, w := range turns {
		if plain(n) && n.Value == w {
			return 90 * i
		}
	}
	s.fault(n, "turn is %s: want 0, 90, 180 or 270, without quotes", shown(n))
	return 0
}

func (s scope) pinned(n *yaml.Node) bool {
	if plain(n) && (n.Value == "true" || n.Value == "false") {
		return n.Value == "true"
	}
	s.fault(n, "pinned is %s: want true or false, without quotes", shown(n))
	return false
}

func (s scope) status(found map[string]entry) components.Status {
	e, told := found["status"]
	if !told {
		return components.New
	}
	return components.Status(s.word(e.value, "status", components.Statuses))
}

func (s scope) buy(n *yaml.Node) components.Purchase {
	s.where += "buy: "
	s.address += ".buy"
	found := s.entries(n, "it", buyKeys, nil)
	text := func(key string) string {
		if e, ok := found[key]; ok {
			return s.text(e.value, key)
		}
		return ""
	}
	b := components.Purchase{Description: text("description"), Supplier: text("supplier"), PartNo: text("part_no")}
	if e, ok := found["price"]; ok {
		b.Price, _ = s.number(e.value, "price", 0, priceHigh)
	}
	return b
}
