// Package scene turns a document into plain shapes with the addresses they stand
// for. Screen and paper draw these shapes and nothing else, so they cannot differ.
//
// Everything is in sheet units: ten are one module of 2.5 mm, and one pixel each
// at 100 %. x grows to the right, y downwards.
package scene

import "rigline/components"

// Pt is a place on the sheet.
type Pt struct{ X, Y float64 }

// Box is an area of the sheet, edges included.
type Box struct{ Min, Max Pt }

// Form is what a shape is.
type Form int

// The forms.
const (
	Polyline Form = iota
	Polygon       // closed, not filled
	Filled        // closed and filled
	Circle        // Pts[0] is the centre, R the radius
	Disc          // a filled circle
	Arc           // as Circle, From to To in degrees, clockwise on the sheet from +x
	Text          // Text with its anchor on the base line at Pts[0]
)

// Layer is the order of painting, lowest first. Marks touch no other layer, so
// late findings redraw only them.
type Layer int

// The layers.
const (
	FrameLayer Layer = iota // border, title block, legend, conductor key, cautions
	RunLayer                // lines, hops, dots, slashes
	PartLayer               // symbols
	LabelLayer              // tags, names, ratings, sizes, figures
	NoteLayer               // the document's own mark-ups
	MarkLayer               // findings
)

// Anchor says which point of a text Pts[0] is.
type Anchor int

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Dash is the pattern of a line, which tells its role where colour cannot: AC is one
// line, DC two edges with paper between them, and the breaks tell the pole.
type Dash int

// The patterns.
const (
	Solid Dash = iota
	LongDash
	DashDot
	ShortDash
	Edged // two edges, unbroken
	EdgedLongDash
	EdgedShortDash
)

// Edged tells whether a pattern is one of two edges.
func (d Dash) Edged() bool { return d >= Edged }

// Unbroken is the pattern without its breaks, for a piece too short for them.
func (d Dash) Unbroken() Dash {
	if d.Edged() {
		return Edged
	}
	return Solid
}

// Pattern gives the lengths of dash, gap, dash, gap in sheet units, nil for a
// continuous line.
func (d Dash) Pattern() []float64 {
	switch d {
	case LongDash, EdgedLongDash:
		return []float64{12, 4}
	case DashDot:
		return []float64{12, 3, 2, 3}
	case ShortDash, EdgedShortDash:
		return []float64{5, 3}
	}
	return nil
}

// Role names a colour; Light and Dark give its value on white and on dark paper.
type Role string

// The roles.
const (
	Ink       Role = "ink"     // symbols, tags
	Faint     Role = "faint"   // frame, leaders, ratings
	Paper     Role = "paper"   // the sheet itself
	Hot1      Role = "hot1"    // L1, L
	Hot2      Role = "hot2"    // L2
	Neutral   Role = "neutral" // N
	Ground    Role = "ground"  // G, chassis
	DCPos     Role = "dcpos"
	DCNeg     Role = "dcneg"
	PV        Role = "pv"
	Live      Role = "live" // figures beside what is alive in the chosen state
	Danger    Role = "danger"
	Violation Role = "violation"
	Advice    Role = "advice"
	Clear     Role = "clear" // a finding's number inside its mark
)

// Shape is one mark on the sheet.
type Shape struct {
	Address  string // "BAT1", "W1", "BAT1.pos", "" for the frame
	Layer    Layer
	Form     Form
	Pts      []Pt
	R        float64 // radius
	From, To float64 // degrees, of an Arc
	Text     string
	Height   float64 // of capital letters, in sheet units (10 is 2.5 mm)
	Anchor   Anchor
	Angle    int // of a text: 0, or 90 to be read from the right
	Bold     bool
	Role     Role
	Weight   components.Weight
	Dash     Dash
	Dim      bool // dead in the chosen state: drawn at 35 % of its colour
}

// Stroke gives the width of a shape's line in sheet units and, where it has two edges,
// that of the paper between them, which is drawn over it.
func (s *Shape) Stroke() (width, between float64) {
	if s.Dash.Edged() {
		between = betweenEdges * UnitsPerMM
		return between + 2*edges[s.Weight]*UnitsPerMM, between
	}
	return Millimetres[s.Weight] * UnitsPerMM, 0
}

// Sheet is a finished drawing. Paper is the area it fills: the paper's edges where
// there is a frame, else the drawing's own bounds with a margin.
type Sheet struct {
	Paper  Box
	Scale  float64 // millimetres on paper for each 0.25 mm of sheet units: 1 is full size
	Size   string  // "ANSI B", "A3"; "" without a frame
	Title  string
	Shapes []Shape           // in the order of painting
	Names  map[string]string // what each address is called: "BAT1 Battery, House bank"

	Bodies map[components.ID]Box  // the area of each symbol
	Paths  map[components.ID][]Pt // each run's line, from its from end to its to end
	Ports  []PortAt               // every landing of every port
}

// PortAt is a place on the sheet where a run may end.
type PortAt struct {
	Ref  components.PortRef
	At   Pt
	Side components.Side
	Pole components.Pole // of a landing kept for one pole, else ""
}

// Options say what is drawn besides parts and runs.
type Options struct {
	Frame bool // border, title block, legend, conductor key, cautions
	Meta  Meta // what the title block says beyond the document
	Marks []Mark
	List  bool                      // the marks' words in a column of the frame, and clouds around what is marked
	Live  map[components.ID]LiveRun // by run or part; nil: no state is chosen
	Paper Box                       // where a paper of the same size lay before: it stays there as far as the drawing allows; zero for none
}

// Meta is what the title block says beyond the document.
type Meta struct {
	Sheet, Of int    // sheet n of m; 0 is 1
	Rules     string // the rule set and its edition: "North American vehicle, NEC 2023"
	Subtitle  string // "Findings marked", "State: Shore"
	Notes     []string
}

// Level is how grave a mark is.
type Level int

// The levels of marks.
const (
	AdviceMark Level = iota
	ViolationMark
	DangerMark
	UncheckedMark
)

// Mark is a finding's number at a part, a run or a port.
type Mark struct {
	Address string
	Level   Level
	Number  int    // printed in the mark; 0 prints none
	Text    string // what a hover or the list beside the sheet says
	Letters string // printed in a plate instead of a number: "N-G"
}

// LiveRun is what a run or a part does in the chosen state.
type LiveRun struct {
	Dead   bool
	Figure string // printed beside a run: "38 A · 121 V"; "" prints none
}
