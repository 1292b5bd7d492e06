package components

// The sheet counts in tenths of the module M = 2.5 mm (IEC 61082): 10 units are
// one module, every port lies on a whole module, and at 100 % a unit is a pixel.

// Module is the grid pitch in sheet units.
const Module = 10

// Point is a place on the sheet, or in a symbol relative to the part's centre.
// x grows to the right, y downwards.
type Point struct{ X, Y int }

// Add moves the point.
func (p Point) Add(o Point) Point { return Point{p.X + o.X, p.Y + o.Y} }

// Turned turns the point clockwise about the origin by 0, 90, 180 or 270 degrees.
func (p Point) Turned(deg int) Point {
	switch ((deg % 360) + 360) % 360 {
	case 90:
		return Point{-p.Y, p.X}
	case 180:
		return Point{-p.X, -p.Y}
	case 270:
		return Point{p.Y, -p.X}
	}
	return p
}

// Box is an area, edges included.
type Box struct{ Min, Max Point }

// Weight is the width of a stroke in the ISO 128 series.
type Weight int

// Widths: 0.18 mm leaders, 0.25 mm thin, 0.5 mm wide, 0.7 mm heavy.
const (
	Hairline Weight = iota
	Thin
	Wide
	Heavy
)

// Shape is the form of a stroke.
type Shape int

// The shapes that symbols are made of.
const (
	Polyline Shape = iota
	Polygon        // closed, not filled
	Filled         // closed and filled
	Circle         // Pts[0] centre, R radius
	Disc           // filled circle
	Arc            // Pts[0] centre, R radius, From and To in degrees, clockwise from +x
	Letters        // Text centred at Pts[0], height R
)

// Stroke is one mark of a symbol, on the grid, relative to the part's centre.
type Stroke struct {
	Shape    Shape
	Pts      []Point
	R        int
	From, To int
	Text     string
	Weight   Weight
}

// Symbol is how a part is drawn, alike on screen and on paper. Body is the area
// that no run and no text may enter.
type Symbol struct {
	Body    Box
	Strokes []Stroke
}

func line(w Weight, pts ...Point) Stroke { return Stroke{Shape: Polyline, Pts: pts, Weight: w} }

func rect(w Weight, x0, y0, x1, y1 int) Stroke {
	return Stroke{Shape: Polygon, Weight: w, Pts: []Point{{x0, y0}, {x1, y0}, {x1, y1}, {x0, y1}}}
}

func body(x0, y0, x1, y1 int) Box { return Box{Point{x0, y0}, Point{x1, y1}} }

func letters(x, y, height int, text string) Stroke {
	return Stroke{Shape: Letters, Pts: []Point{{x, y}}, R: height, Text: text}
}
