package scene

import (
	"math"
	"sync"

	"rigline/components"
)

// neighbours are the bodies of the symbols by the cells that they lie in, so that a
// label is not set where it would be taken for another symbol's.
type neighbours struct {
	cells map[cell][]int32
	all   []neighbour
	of    map[components.ID]Box // the body of each
}

type neighbour struct {
	id   components.ID
	body Box
}

func neighboursOf(doc *components.Document) *neighbours {
	n := &neighbours{cells: make(map[cell][]int32, len(doc.Parts())), all: make([]neighbour, 0, len(doc.Parts())), of: make(map[components.ID]Box, len(doc.Parts()))}
	for _, p := range doc.Parts() {
		body := drawnArea(p)
		s := spanOf(body)
		for y := s.y0; y <= s.y1; y++ {
			for x := s.x0; x <= s.x1; x++ {
				n.cells[cellAt(x, y)] = append(n.cells[cellAt(x, y)], int32(len(n.all)))
			}
		}
		n.all = append(n.all, neighbour{p.ID, body})
		n.of[p.ID] = body
	}
	return n
}

// nearer tells whether another symbol is nearer to an area than its own is, or as near.
func (n *neighbours) nearer(b Box, id components.ID, own Box) bool {
	const alike = 2.0 // no one sees which is the nearer
	limit := gap(b, own) + alike
	s := spanOf(b.grown(limit))
	for y := s.y0; y <= s.y1; y++ {
		for x := s.x0; x <= s.x1; x++ {
			for _, i := range n.cells[cellAt(x, y)] {
				if o := &n.all[i]; o.id != id && gap(b, o.body) < limit {
					return true
				}
			}
		}
	}
	return false
}

// gap is how far two areas are apart.
func gap(a, b Box) float64 {
	dx := max(0, a.Min.X-b.Max.X, b.Min.X-a.Max.X)
	dy := max(0, a.Min.Y-b.Max.Y, b.Min.Y-a.Max.Y)
	return math.Hypot(dx, dy)
}

// area is what a part's symbol covers, its leads left out.
func (d *drawing) area(p components.Part) Box { return d.symbols().of[p.ID] }

// symbols are found once for all drawings of a plan.
func (d *drawing) symbols() *neighbours {
	if d.beside == nil {
		doc := d.doc
		d.beside = sync.OnceValue(func() *neighbours { return neighboursOf(doc) })
	}
	return d.beside()
}
