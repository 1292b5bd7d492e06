package scene

// words is a line of text in a block.
type words struct {
	text   string
	height float64
	bold   bool
	role   Role
}

// block is one or more lines of text that are placed together.
type block []words

// size is the width and the height of the block, with what hangs below the last line.
func (b block) size() (w, h float64) {
	for i, l := range b {
		w = max(w, TextWidth(l.text, l.height, l.bold)*slack)
		if i == 0 {
			h = l.height
		} else {
			h += l.height * leading
		}
	}
	if len(b) > 0 {
		h += b[len(b)-1].height * descent
	}
	return w, h
}

// spot is where a block may stand.
type spot struct {
	box    Box
	anchor Anchor
	angle  int
	across bool // a level text beside an upright line
}

// shapes sets the block in its spot.
func (b block) shapes(s spot, address string, layer Layer) []Shape {
	var all []Shape
	down := 0.0
	for i, l := range b {
		if i == 0 {
			down = l.height
		} else {
			down += l.height * leading
		}
		sh := Shape{Address: address, Layer: layer, Form: Text, Text: l.text, Height: l.height, Bold: l.bold, Role: l.role, Anchor: s.anchor, Angle: s.angle}
		x0, x1, y := s.box.Min.X, s.box.Max.X, s.box.Min.Y+down
		if s.angle == 90 {
			x0, x1, y = s.box.Max.Y, s.box.Min.Y, s.box.Min.X+down
		}
		x := x0
		switch s.anchor {
		case Middle:
			x = (x0 + x1) / 2
		case End:
			x = x1
		}
		sh.Pts = []Pt{{x, y}}
		if s.angle == 90 {
			sh.Pts = []Pt{{y, x}}
		}
		all = append(all, sh)
	}
	return all
}

// boxAt is an area of a size with its centre at a place.
func boxAt(c Pt, w, h float64) Box {
	return Box{Pt{c.X - w/2, c.Y - h/2}, Pt{c.X + w/2, c.Y + h/2}}
}

func (b Box) centre() Pt { return Pt{(b.Min.X + b.Max.X) / 2, (b.Min.Y + b.Max.Y) / 2} }

func (b Box) width() float64  { return b.Max.X - b.Min.X }
func (b Box) height() float64 { return b.Max.Y - b.Min.Y }

// union is the area that holds both.
func (b Box) union(o Box) Box { return b.with(o.Min).with(o.Max) }
