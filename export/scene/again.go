package scene

import (
	"maps"
	"reflect"
	"slices"

	"rigline/components"
)

// Next is the plan of a document that came of the plan's own. Where an edit leaves
// everything as it was that lines go by, they are not searched for again: routing is
// most of the work of a sheet, and most edits tell a figure.
func (p *Plan) Next(doc *components.Document) *Plan {
	if p == nil {
		return NewPlan(doc)
	}
	if p.doc == doc {
		return p
	}
	next, reserve := begun(doc)
	if !sameGround(p.doc, doc) {
		next.routes = routeAll(doc, reserve)
	} else if soft := reserve(); slices.Equal(soft, p.soft) {
		next.routes = p.routes
	} else {
		next.routes = routeAll(doc, func() []Box { return soft })
	}
	return next
}

// sameGround tells whether lines run alike in two documents whose parts have their
// labels at the same places: symbols and terminals stand where they did, and the same
// cores go the same ways between them.
func sameGround(a, b *components.Document) bool {
	return slices.EqualFunc(a.Parts(), b.Parts(), sameFootprint) &&
		slices.EqualFunc(a.Runs(), b.Runs(), func(r, q components.Run) bool {
			return r.ID == q.ID && r.From == q.From && r.To == q.To && slices.Equal(r.Path, q.Path) && slices.Equal(a.CoresOf(r), b.CoresOf(q))
		})
}

func sameFootprint(p, q components.Part) bool {
	if p.ID != q.ID || p.Kind != q.Kind || p.At != q.At || p.Turn != q.Turn {
		return false
	}
	return maps.EqualFunc(p.Spec, q.Spec, components.Value.Equal) ||
		reflect.DeepEqual(p.Kind.Symbol(p.Spec), q.Kind.Symbol(q.Spec)) && reflect.DeepEqual(p.Ports(), q.Ports())
}
