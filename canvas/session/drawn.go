package session

import (
	"encoding/binary"
	"hash/maphash"
	"maps"
	"math"
	"slices"
	"strings"
	"time"

	"rigline/components"
	"rigline/export/scene"
	"rigline/rules"
)

// drawn is a finished drawing with what a window needs to show it quickly: the
// area of every shape, and a sum of the shapes of every part and run, so that a
// window can tell what differs between two drawings.
type drawn struct {
	sheet  *scene.Sheet
	at     look
	report *rules.Report // whose marks it shows
	live   *Live         // whose figures it shows
	boxes  []scene.Box
	sums   map[string]sum
	quick  bool        // patched, not drawn
	plan   *scene.Plan // it was drawn by, nil where it was patched
	took   time.Duration
}

// sum tells the shapes of one owner apart from others, and where they lie.
type sum struct {
	hash uint64
	box  scene.Box
}

// instant is how many parts and runs a rig may have to be drawn while the person
// waits, and atOnce how long that may have taken the last time: a crowded sheet, whose
// labels look far for a place, is patched first, as a large one is.
const (
	instant = 100
	atOnce  = 6 * time.Millisecond
)

func size(doc *components.Document) int { return len(doc.Parts()) + len(doc.Runs()) }

func newDrawn(sheet *scene.Sheet, at look, report *rules.Report) *drawn {
	d := &drawn{sheet: sheet, at: at, report: report, boxes: make([]scene.Box, len(sheet.Shapes))}
	for i := range sheet.Shapes {
		d.boxes[i] = sheet.Shapes[i].Box()
	}
	d.total()
	return d
}

var seed = maphash.MakeSeed()

func (d *drawn) total() {
	d.sums = map[string]sum{}
	var h maphash.Hash
	h.SetSeed(seed)
	var word [8]byte
	number := func(v float64) {
		binary.LittleEndian.PutUint64(word[:], math.Float64bits(v))
		h.Write(word[:])
	}
	for i := range d.sheet.Shapes {
		sh := &d.sheet.Shapes[i]
		h.Reset()
		for _, p := range sh.Pts {
			number(p.X)
			number(p.Y)
		}
		number(float64(int(sh.Form) + 10*int(sh.Dash) + 100*int(sh.Weight) + 1000*int(sh.Anchor) + 10000*int(sh.Layer)))
		number(sh.R)
		number(sh.From + 1000*sh.To)
		number(sh.Height + float64(1000*sh.Angle))
		h.WriteString(sh.Text)
		h.WriteString(string(sh.Role))
		if sh.Dim {
			h.WriteByte(1)
		}
		if sh.Bold {
			h.WriteByte(2)
		}
		owner := ownerOf(sh.Address)
		old, seen := d.sums[owner]
		box := d.boxes[i]
		if seen {
			box = union(old.box, box)
		}
		d.sums[owner] = sum{old.hash*31 + h.Sum64(), box}
	}
}

func union(a, b scene.Box) scene.Box {
	return scene.Box{Min: scene.Pt{X: min(a.Min.X, b.Min.X), Y: min(a.Min.Y, b.Min.Y)}, Max: scene.Pt{X: max(a.Max.X, b.Max.X), Y: max(a.Max.Y, b.Max.Y)}}
}

func ownerOf(address string) string {
	head, _, _ := strings.Cut(address, ".")
	return head
}

// OwnerOf is the part or run that an address is of, by its form alone.
func OwnerOf(address string) components.ID { return components.ID(ownerOf(address)) }

// Drawing is what the window shows: the sheet with the area of each shape, and
// whether its marks are of the present report.
type Drawing struct {
	Sheet *scene.Sheet
	Boxes []scene.Box
	Marks bool
	Live  *Live // whose figures it shows, nil for none
	of    *drawn
}

// Drawing gives the sheet for the window.
func (s *Session) Drawing() Drawing {
	sheet := s.Sheet()
	report, current := s.Report()
	return Drawing{sheet, s.drawn.boxes, current && s.drawn.report == report, s.drawn.live, s.drawn}
}

// Since are the areas that differ from an older drawing; ok is false where the
// paper itself differs.
func (d Drawing) Since(old Drawing) (areas []scene.Box, ok bool) {
	if old.of == nil || old.Sheet.Paper != d.Sheet.Paper {
		return nil, false
	}
	if old.of == d.of {
		return nil, true
	}
	for owner, now := range d.of.sums {
		was, there := old.of.sums[owner]
		switch {
		case !there:
			areas = append(areas, now.box)
		case was.hash != now.hash:
			areas = append(areas, union(was.box, now.box))
		}
	}
	for owner, was := range old.of.sums {
		if _, there := d.of.sums[owner]; !there {
			areas = append(areas, was.box)
		}
	}
	return areas, true
}

// AreaOf is where the shapes of a part or run lie, its words included.
func (d Drawing) AreaOf(id components.ID) (scene.Box, bool) {
	s, ok := d.of.sums[string(id)]
	return s.box, ok
}

// patched is an older drawing with what has changed since laid over it: moved
// parts carry their words along, new ones are bare symbols, and their runs are
// quick lines. It costs little, whatever the size of the rig.
func patched(old *drawn, at look) *drawn {
	before, after := old.at.doc, at.doc
	sheet := *old.sheet
	sheet.Shapes = nil
	sheet.Bodies, sheet.Paths = maps.Clone(sheet.Bodies), maps.Clone(sheet.Paths)
	moved := map[string]components.Point{} // parts that only moved
	gone := map[string]bool{}              // whose shapes go
	fresh := []components.Part{}
	touched := map[components.ID]bool{}
	for _, p := range after.Parts() {
		q, there := before.Part(p.ID)
		_, shown := old.sheet.Bodies[p.ID]
		switch {
		case there && shown && samePart(p, q):
		case there && shown && p.Turn == q.Turn && p.Kind == q.Kind && !shapes(p, q):
			moved[string(p.ID)] = components.Point{X: p.At.X - q.At.X, Y: p.At.Y - q.At.Y}
			touched[p.ID] = p.At != q.At
		default:
			fresh = append(fresh, p)
			gone[string(p.ID)], touched[p.ID] = true, true
		}
	}
	for _, q := range before.Parts() {
		if _, there := after.Part(q.ID); !there {
			gone[string(q.ID)], touched[q.ID] = true, true
			delete(sheet.Bodies, q.ID)
		}
	}
	var lines []components.Run
	for _, r := range after.Runs() {
		q, there := before.Run(r.ID)
		_, shown := old.sheet.Paths[r.ID]
		if there && shown && sameWay(r, q) && !touched[r.From.Part] && !touched[r.To.Part] {
			continue
		}
		gone[string(r.ID)] = true
		lines = append(lines, r)
	}
	for _, q := range before.Runs() {
		if _, there := after.Run(q.ID); !there {
			gone[string(q.ID)] = true
			delete(sheet.Paths, q.ID)
		}
	}
	d := &drawn{at: at, report: old.report, live: old.live, quick: true}
	add := func(sh scene.Shape, box scene.Box) {
		sheet.Shapes = append(sheet.Shapes, sh)
		d.boxes = append(d.boxes, box)
	}
	sheet.Shapes, d.boxes = make([]scene.Shape, 0, len(old.sheet.Shapes)+64), make([]scene.Box, 0, len(old.sheet.Shapes)+64)
	for i, sh := range old.sheet.Shapes {
		owner := ownerOf(sh.Address)
		if gone[owner] {
			continue
		}
		box := old.boxes[i]
		if by, ok := moved[owner]; ok && by != (components.Point{}) {
			sh, box = shifted(sh, by), shiftedBox(box, by)
		}
		add(sh, box)
	}
	var ports []scene.PortAt
	for _, p := range old.sheet.Ports {
		if gone[string(p.Ref.Part)] {
			continue
		}
		if by, ok := moved[string(p.Ref.Part)]; ok {
			p.At = scene.Pt{X: p.At.X + float64(by.X), Y: p.At.Y + float64(by.Y)}
		}
		ports = append(ports, p)
	}
	for id, by := range moved {
		sheet.Bodies[components.ID(id)] = shiftedBox(sheet.Bodies[components.ID(id)], by)
	}
	for _, p := range fresh {
		alone := drawAlone(p)
		for _, sh := range alone.Shapes {
			add(sh, sh.Box())
		}
		ports = append(ports, alone.Ports...)
		sheet.Bodies[p.ID] = alone.Bodies[p.ID]
	}
	sheet.Ports = ports
	at0 := map[components.PortRef]scene.PortAt{}
	for _, p := range ports {
		if _, seen := at0[p.Ref]; !seen {
			at0[p.Ref] = p
		}
	}
	for _, r := range lines {
		a, okA := at0[r.From]
		b, okB := at0[r.To]
		if !okA || !okB {
			delete(sheet.Paths, r.ID)
			continue
		}
		path := quickPath(r, a, b)
		sheet.Paths[r.ID] = path
		st := scene.StyleOf(after, r)
		sh := scene.Shape{Address: string(r.ID), Layer: scene.RunLayer, Form: scene.Polyline, Role: st.Role, Weight: st.Weight, Dash: st.Dash, Pts: path}
		add(sh, sh.Box())
	}
	d.sheet = &sheet
	d.total()
	return d
}

// sketched is a drawing of which nothing was drawn before: bare symbols and quick
// lines, without a frame, whose title block would lie on them.
func sketched(at look) *drawn {
	d := patched(newDrawn(scene.Draw(components.NewDocument(at.doc.Title), scene.Options{}), at.empty(), nil), at)
	for i, b := range d.boxes {
		if i == 0 {
			d.sheet.Paper = b
		}
		d.sheet.Paper = union(d.sheet.Paper, b)
	}
	d.sheet.Paper = grown(d.sheet.Paper)
	return d
}

// quickPath goes through the bend points that a person placed, or takes an elbow.
func quickPath(r components.Run, a, b scene.PortAt) []scene.Pt {
	if len(r.Path) == 0 {
		return elbow(a.At, a.Side, b.At, b.Side, true)
	}
	path := []scene.Pt{a.At}
	for _, q := range r.Path {
		path = append(path, pt(q))
	}
	return append(path, b.At)
}

func shiftedBox(b scene.Box, by components.Point) scene.Box {
	d := pt(by)
	return scene.Box{Min: scene.Pt{X: b.Min.X + d.X, Y: b.Min.Y + d.Y}, Max: scene.Pt{X: b.Max.X + d.X, Y: b.Max.Y + d.Y}}
}

func samePart(p, q components.Part) bool {
	return p.At == q.At && p.Turn == q.Turn && p.Kind == q.Kind && p.Status == q.Status && p.Name == q.Name && sameSpec(p.Spec, q.Spec)
}

func sameSpec(a, b components.Spec) bool { return maps.EqualFunc(a, b, components.Value.Equal) }

// shapes tells whether two states of a part differ in a figure that decides its
// terminals or its symbol.
func shapes(p, q components.Part) bool {
	for i := range p.Kind.Fields {
		f := &p.Kind.Fields[i]
		if (f.Shapes || f.Type == components.Rows || f.Type == components.Truth) && !p.Spec[f.Key].Equal(q.Spec[f.Key]) {
			return true
		}
	}
	return false
}

// sameWay tells whether a run's line is the same; its figures may differ.
func sameWay(r, q components.Run) bool {
	return r.From == q.From && r.To == q.To && r.Status == q.Status && slices.Equal(r.Path, q.Path) && slices.Equal(r.Cores, q.Cores)
}

// drawAlone draws one part as if nothing else were there.
func drawAlone(p components.Part) *scene.Sheet {
	doc, err := components.NewDocument("").Apply(components.AddPart{Part: p})
	if err != nil {
		return &scene.Sheet{}
	}
	return scene.Draw(doc, scene.Options{})
}
