package session

import (
	"slices"

	"rigline/components"
)

// block is some parts that a fitter draws as one figure: a panel with its loads in a
// column, the strings of a bank side by side, an array with its controller. They
// keep their places among each other while the sheet is tidied, and each its turn.
type block []member

// member is a part of a block, seen from the block's first.
type member struct {
	id   components.ID
	at   components.Point
	turn int // in quarters
}

// Distances within a block, in sheet units: wide enough for the words beside symbols
// and lines.
const (
	loadAway   = 200 // from a panel's middle to its loads'
	loadPitch  = 60  // from load to load
	chainPitch = 140 // from one part to the next that it feeds
	rowPitch   = 110 // along the row from an array to its controller
	fuseAbove  = 90  // from a battery up to its fuse, and on to the bar
	barBelow   = 120 // from a battery down to the negative bar
	fewStrings = 4
)

// blocksOf finds the blocks among the parts that are not fixed. Each part is in one
// at most.
func blocksOf(doc *components.Document, fixed func(components.ID) bool) []block {
	f := finder{doc: doc, near: map[components.ID][]joint{}, taken: map[components.ID]bool{}}
	for _, p := range doc.Parts() {
		f.taken[p.ID] = fixed(p.ID)
	}
	for _, r := range doc.Runs() {
		if groundOnly(doc, r) || r.From.Part == r.To.Part {
			continue
		}
		f.near[r.From.Part] = append(f.near[r.From.Part], joint{r, r.From, r.To})
		f.near[r.To.Part] = append(f.near[r.To.Part], joint{r, r.To, r.From})
	}
	var all []block
	for _, find := range []func(components.Part) block{f.bank, f.array, f.fan} {
		for _, p := range doc.Parts() {
			if f.taken[p.ID] {
				continue
			}
			b := find(p)
			if len(b) < 2 || slices.ContainsFunc(b, func(m member) bool { return f.taken[m.id] }) {
				continue
			}
			for _, m := range b {
				f.taken[m.id] = true
			}
			all = append(all, b)
		}
	}
	return all
}

// finder is the search for blocks.
type finder struct {
	doc   *components.Document
	near  map[components.ID][]joint
	taken map[components.ID]bool
}

// joint is a run seen from one of its ends.
type joint struct {
	run      components.Run
	here, to components.PortRef
}

// at are the joints of a port.
func (f *finder) at(ref components.PortRef) (all []joint) {
	for _, j := range f.near[ref.Part] {
		if j.here == ref {
			all = append(all, j)
		}
	}
	return all
}

// onwards follows a run through parts that pass it on, as fuses and switches do,
// and gives these and the end that it comes to.
func (f *finder) onwards(j joint) (through []joint, end joint) {
	for len(through) < 4 {
		p, ok := f.doc.Part(j.to.Part)
		next := f.near[j.to.Part]
		passes := ok && len(p.Ports()) == 2 && (p.Kind.Role == components.Protects || p.Kind.Role == components.Switches || p.Kind.Role == components.Measures)
		if !passes || len(next) != 2 {
			break
		}
		through = append(through, j)
		if next[0].to == j.here {
			j = next[1]
		} else {
			j = next[0]
		}
	}
	return through, j
}

// turnTo is the turn in which a part's port leaves by a side.
func turnTo(p components.Part, port string, side components.Side) int {
	for turn := range 4 {
		p.Turn = 90 * turn
		for _, q := range p.Ports() {
			if q.Name == port && q.Side == side {
				return turn
			}
		}
	}
	return quarter(p.Turn)
}

// landing is where a run ends at a port of a part in a turn, seen from its middle.
func (f *finder) landing(id components.ID, turn int, j components.PortRef, r components.Run) components.Point {
	p, _ := f.doc.Part(id)
	p.Turn = 90 * turn
	for _, q := range p.Ports() {
		if q.Name != j.Port {
			continue
		}
		for _, l := range q.Landings {
			if l.Pole != "" && polesOf(f.doc, r, j)[l.Pole] {
				return l.At
			}
		}
		return q.At
	}
	return components.Point{}
}

// polesOf are the poles that a run has at one of its ends.
func polesOf(doc *components.Document, r components.Run, at components.PortRef) map[components.Pole]bool {
	poles := map[components.Pole]bool{}
	for _, c := range doc.CoresOf(r) {
		if r.From == at {
			poles[c.From] = true
		} else {
			poles[c.To] = true
		}
	}
	return poles
}

// fan is a panel with what hangs on its circuits alone, in a column to its right:
// above and below the line of a circuit that leads on to something else.
func (f *finder) fan(p components.Part) block {
	if p.Kind.Role != components.Distributes {
		return nil
	}
	type limb struct {
		y     int
		parts []joint
	}
	var limbs []limb
	on, leads := 0, false
	for _, port := range p.Ports() {
		if port.Side != components.Right {
			continue
		}
		here := f.at(p.Ref(port.Name))
		if len(here) == 0 {
			continue
		}
		if hang, ok := f.hangs(here[0]); ok && len(here) == 1 {
			limbs = append(limbs, limb{port.At.Y, hang})
		} else if !leads {
			on, leads = port.At.Y, true
		}
	}
	if len(limbs) == 0 || p.Turn != 0 {
		return nil
	}
	b := block{{id: p.ID, turn: 0}}
	place := func(l limb, y int) {
		x := loadAway
		for _, j := range l.parts {
			q, _ := f.doc.Part(j.to.Part)
			turn := turnTo(q, j.to.Port, components.Left)
			end := f.landing(q.ID, turn, j.to, j.run)
			b = append(b, member{q.ID, components.Point{X: x, Y: y - end.Y}, turn})
			x += chainPitch
		}
	}
	above := 0
	for above < len(limbs) && leads && limbs[above].y < on {
		above++
	}
	for i, l := range limbs[:above] {
		place(l, on-(above-i)*loadPitch)
	}
	rest := limbs[above:]
	if leads {
		for i, l := range rest {
			place(l, max(on, limbs[above].y)+(i+1)*loadPitch)
		}
		return b
	}
	mid := (len(rest) - 1) / 2 // this one's line is straight
	for i, l := range rest {
		place(l, rest[mid].y+(i-mid)*loadPitch)
	}
	return b
}

// hangs gives a load, or a few parts one after the other that end in one, where
// nothing else is joined to them.
func (f *finder) hangs(j joint) (parts []joint, ok bool) {
	for len(parts) < 3 {
		p, _ := f.doc.Part(j.to.Part)
		switch p.Kind.Role {
		case components.Uses, components.Protects, components.Switches:
		default:
			return nil, false
		}
		parts = append(parts, j)
		var next []joint
		for _, o := range f.near[p.ID] {
			if o.run.ID != j.run.ID {
				next = append(next, o)
			}
		}
		if len(next) == 0 {
			return parts, p.Kind.Role == components.Uses
		}
		if len(next) > 1 {
			return nil, false
		}
		j = next[0]
	}
	return nil, false
}

// bank is the batteries that stand on the same two bars: side by side, each below
// its fuse, with the positive bar above and the negative one below. It is found
// from its positive bar.
func (f *finder) bank(bar components.Part) block {
	if bar.Kind.Role != components.Carries {
		return nil
	}
	type row struct {
		battery components.ID
		post    components.Run
		through []joint // from the post upwards
	}
	var rows []row
	minus := components.ID("")
	for _, p := range f.doc.Parts() {
		if p.Kind.Role != components.Stores {
			continue
		}
		up, down := f.at(p.Ref("pos")), f.at(p.Ref("neg"))
		if len(up) != 1 || len(down) != 1 {
			continue
		}
		through, end := f.onwards(up[0])
		direct, ret := f.onwards(down[0])
		other, _ := f.doc.Part(ret.to.Part)
		if end.to.Part != bar.ID || len(direct) > 0 || other.Kind.Role != components.Carries || minus != "" && minus != other.ID {
			continue
		}
		rows, minus = append(rows, row{p.ID, up[0].run, through}), other.ID
	}
	if len(rows) < 2 || minus == bar.ID {
		return nil
	}
	pitch, below := 140, barBelow
	if len(rows) > fewStrings { // the more need more tracks for their returns
		pitch, below = 120, barBelow+2*components.Module
	}
	most := 0
	var b block
	for i, r := range rows {
		battery, _ := f.doc.Part(r.battery)
		x := i * pitch
		b = append(b, member{r.battery, components.Point{X: x}, 0})
		battery.Turn = 0
		post := f.landing(r.battery, 0, battery.Ref("pos"), r.post)
		for k, j := range r.through {
			p, _ := f.doc.Part(j.to.Part)
			turn := turnTo(p, j.to.Port, components.Bottom)
			end := f.landing(p.ID, turn, j.to, j.run)
			b = append(b, member{p.ID, components.Point{X: x + post.X - end.X, Y: -(k + 1) * fuseAbove}, turn})
		}
		most = max(most, len(r.through))
	}
	middle := func(id components.ID) int { // of a bar, from the place that it is drawn at
		p, _ := f.doc.Part(id)
		p.Turn = 0
		body := bodyOf(p)
		return onModule((len(rows)-1)*pitch/2 - (body.Min.X+body.Max.X)/2)
	}
	b = append(b, member{bar.ID, components.Point{X: middle(bar.ID) - 2*components.Module, Y: -(most + 1) * fuseAbove}, 0})
	return append(b, member{minus, components.Point{X: middle(minus) + 2*components.Module, Y: below}, 0})
}

// array is a row from a source to the device that it feeds alone, through its
// switches and fuses.
func (f *finder) array(p components.Part) block {
	if p.Kind.Role != components.Supplies || p.Kind.Group != components.ChargeSources {
		return nil
	}
	var out *joint
	for i, j := range f.near[p.ID] {
		if !f.doc.OnlyReturns(j.run) {
			if out != nil {
				return nil
			}
			out = &f.near[p.ID][i]
		}
	}
	if out == nil {
		return nil
	}
	through, end := f.onwards(*out)
	to, ok := f.doc.Part(end.to.Part)
	if !ok || to.Kind.Role != components.Converts {
		return nil
	}
	turn := turnTo(p, out.here.Port, components.Right)
	level := f.landing(p.ID, turn, out.here, out.run).Y
	b := block{{id: p.ID, turn: turn}}
	x := 0
	put := func(j joint) {
		q, _ := f.doc.Part(j.to.Part)
		turn := turnTo(q, j.to.Port, components.Left)
		x += rowPitch
		b = append(b, member{q.ID, components.Point{X: x, Y: level - f.landing(q.ID, turn, j.to, j.run).Y}, turn})
	}
	for _, j := range through {
		put(j)
	}
	put(end)
	return b
}
