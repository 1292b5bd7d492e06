package scene

import (
	"math"
	"strconv"
	"strings"

	"rigline/assets"
	"rigline/components"
)

// paperSize is a sheet of paper, landscape, in millimetres.
type paperSize struct {
	name          string
	width, height float64
}

// Papers by the project's units: ANSI B and C (ASME Y14.1), A3 and A2 (ISO 216).
var (
	ansi = []paperSize{{"ANSI B", 431.8, 279.4}, {"ANSI C", 558.8, 431.8}}
	iso  = []paperSize{{"A3", 420, 297}, {"A2", 594, 420}}
)

// Of the frame, in millimetres: margins by ISO 5457, the filing margin left.
const (
	leftMargin  = 20.0
	margin      = 10.0
	zone        = 50.0 // length of a reference field
	bandHeight  = 52.0 // of title block, legend, key and cautions along the foot
	titleWidth  = 132.0
	cautionWide = 84.0
	keyWide     = 62.0
	airAround   = 4.0  // between the drawing and the frame
	roomyScale  = 0.75 // below which the next larger paper is taken
	largest     = 1.25 // how far a drawing grows on a paper larger than the smallest
)

// paperStays tells whether a paper that lay there before is of this one's size.
func (f *framing) paperStays(before Box) bool {
	now := f.box(0, 0, f.paper.width, f.paper.height)
	return before.width() > 0 && math.Abs(now.width()-before.width()) < 1e-6 && math.Abs(now.height()-before.height()) < 1e-6
}

// reach is how far an area has to move, in whole modules, until it holds another.
func reach(area, content Box) Pt {
	along := func(lo, hi, from, to float64) float64 {
		const m = components.Module
		switch {
		case from < lo:
			return math.Floor((from-lo)/m) * m
		case to > hi:
			return math.Ceil((to-hi)/m) * m
		}
		return 0
	}
	return Pt{along(area.Min.X, area.Max.X, content.Min.X, content.Max.X), along(area.Min.Y, area.Max.Y, content.Min.Y, content.Max.Y)}
}

// frame draws border, zones, title block, legend, conductor key and cautions
// around what is drawn so far. The drawing keeps its place; the paper is laid
// around it. It is reduced where the largest paper is too small, and grows a little
// on a paper larger than the smallest.
func (d *drawing) frame() {
	content, some := d.content()
	papers := ansi
	if d.doc.Units == "metric" {
		papers = iso
	}
	var paper paperSize
	var list listRoom
	scale := 0.0
	strip := 0.0
	for i := range papers {
		paper = papers[i]
		most := 1.0
		if i > 0 {
			most = largest
		}
		strip = d.stripHeight(paper)
		wide, high := paper.width-leftMargin-margin, paper.height-2*margin-bandHeight-strip
		scale = 0
		for _, way := range d.listings(wide, high) {
			w := (wide - way.side - 2*airAround) * UnitsPerMM
			h := (high - way.below - 2*airAround) * UnitsPerMM
			fits := 1.0
			if some {
				fits = min(most, w/content.width(), h/content.height())
			}
			if fits > scale {
				scale, list = fits, way
			}
		}
		if scale >= roomyScale {
			break
		}
	}
	u := UnitsPerMM / scale // sheet units in a millimetre of paper
	f := framing{d: d, u: u, paper: paper}
	f.origin = Pt{}
	free := func() Box {
		return f.box(leftMargin+airAround, margin+airAround, paper.width-margin-list.side-airAround, paper.height-margin-bandHeight-strip-list.below-airAround)
	}
	if f.paperStays(d.o.Paper) {
		f.origin = d.o.Paper.Min
		if some {
			by := reach(free(), content)
			f.origin = Pt{f.origin.X + by.X, f.origin.Y + by.Y}
		}
	} else if area := free(); some && (scale != 1 || !area.Holds(content.Min) || !area.Holds(content.Max)) {
		c, m := area.centre(), content.centre()
		snap := func(v float64) float64 { return floor(v/components.Module+0.5) * components.Module }
		f.origin = Pt{m.X - c.X, m.Y - c.Y}
		if scale == 1 {
			f.origin = Pt{snap(f.origin.X), snap(f.origin.Y)}
		}
	}
	d.sheet.Scale, d.sheet.Size = scale, paper.name
	d.sheet.Paper = f.box(0, 0, paper.width, paper.height)
	f.border()
	foot := paper.height - margin - bandHeight
	top := foot - strip
	right := paper.width - margin
	f.line(components.Wide, Pt{leftMargin, foot}, Pt{right, foot})
	if strip > 0 {
		f.line(components.Wide, Pt{leftMargin, top}, Pt{right, top})
		f.line(components.Wide, Pt{right - titleWidth, top}, Pt{right - titleWidth, foot})
		f.revisions(right-titleWidth, top, strip)
		f.notes(leftMargin+2, top+2, strip)
	}
	f.titleBlock(right-titleWidth, foot)
	x := right - titleWidth - cautionWide
	f.line(components.Thin, Pt{x, foot}, Pt{x, paper.height - margin})
	f.cautions(x+2, foot+2)
	x -= keyWide
	f.line(components.Thin, Pt{x, foot}, Pt{x, paper.height - margin})
	f.key(x+2, foot+2)
	f.legend(leftMargin+2, foot+2, x-leftMargin-4)
	switch {
	case list.side > 0:
		f.line(components.Thin, Pt{right - listWide, margin}, Pt{right - listWide, top})
		f.findings(right-listWide, margin, top, 1)
	case list.below > 0:
		f.line(components.Thin, Pt{leftMargin, top - list.below}, Pt{right, top - list.below})
		f.findings(leftMargin, top-list.below, top, int((right-leftMargin)/listWide))
	}
}

// content is the area of all that is drawn so far.
func (d *drawing) content() (area Box, some bool) {
	for _, sh := range d.sheet.Shapes {
		if !some {
			area, some = sh.Box(), true
		}
		area = area.union(sh.Box())
	}
	return area, some
}

// framing draws on paper, in millimetres from the paper's upper left corner.
type framing struct {
	d      *drawing
	u      float64
	origin Pt
	paper  paperSize
}

func (f *framing) pt(p Pt) Pt { return Pt{f.origin.X + p.X*f.u, f.origin.Y + p.Y*f.u} }

func (f *framing) box(x0, y0, x1, y1 float64) Box { return Box{f.pt(Pt{x0, y0}), f.pt(Pt{x1, y1})} }

func (f *framing) line(w components.Weight, pts ...Pt) {
	sh := Shape{Layer: FrameLayer, Form: Polyline, Role: Ink, Weight: w}
	for _, p := range pts {
		sh.Pts = append(sh.Pts, f.pt(p))
	}
	f.d.add(sh)
}

func (f *framing) rect(w components.Weight, x0, y0, x1, y1 float64) {
	b := f.box(x0, y0, x1, y1)
	f.d.add(Shape{Layer: FrameLayer, Form: Polygon, Role: Ink, Weight: w, Pts: []Pt{b.Min, {b.Max.X, b.Min.Y}, b.Max, {b.Min.X, b.Max.Y}}})
}

// text writes on a base line; h is the height of capitals in millimetres.
func (f *framing) text(x, y, h float64, text string, bold bool, role Role, anchor Anchor) {
	f.d.add(Shape{Layer: FrameLayer, Form: Text, Text: text, Pts: []Pt{f.pt(Pt{x, y})}, Height: h * f.u, Bold: bold, Role: role, Anchor: anchor})
}

// Heights of letters on paper, in millimetres (ISO 3098).
const (
	tiny  = 1.8
	plain = 2.5
	large = 3.5
	head  = 5.0
)

// border draws the frame, its reference fields and centring marks (ISO 5457).
func (f *framing) border() {
	w, h := f.paper.width, f.paper.height
	f.rect(components.Hairline, 0, 0, w, h)
	f.rect(components.Heavy, leftMargin, margin, w-margin, h-margin)
	const strip = 5 // of the reference fields, inside the edge
	f.rect(components.Hairline, leftMargin-strip, margin-strip, w-margin+strip, h-margin+strip)
	across, down := zones(w-leftMargin-margin), zones(h-2*margin)
	for i := range across {
		x0, x1 := leftMargin+(w-leftMargin-margin)*float64(i)/float64(across), leftMargin+(w-leftMargin-margin)*float64(i+1)/float64(across)
		for _, y := range []float64{margin - strip, h - margin} {
			if i > 0 {
				f.line(components.Hairline, Pt{x0, y}, Pt{x0, y + strip})
			}
			f.text((x0+x1)/2, y+strip/2+tiny/2, tiny, strconv.Itoa(i+1), false, Faint, Middle)
		}
	}
	for i := range down {
		y0, y1 := margin+(h-2*margin)*float64(i)/float64(down), margin+(h-2*margin)*float64(i+1)/float64(down)
		for _, x := range []float64{leftMargin - strip, w - margin} {
			if i > 0 {
				f.line(components.Hairline, Pt{x, y0}, Pt{x + strip, y0})
			}
			f.text(x+strip/2, (y0+y1)/2+tiny/2, tiny, string(rune('A'+i)), false, Faint, Middle)
		}
	}
	for _, m := range [][2]Pt{
		{{(leftMargin + w - margin) / 2, 0}, {(leftMargin + w - margin) / 2, margin - strip}}, {{(leftMargin + w - margin) / 2, h}, {(leftMargin + w - margin) / 2, h - margin + strip}},
		{{0, h / 2}, {leftMargin - strip, h / 2}}, {{w, h / 2}, {w - margin + strip, h / 2}},
	} {
		f.line(components.Heavy, m[0], m[1])
	}
}

// zones is the even number of reference fields nearest to 50 mm each.
func zones(long float64) int { return max(2, 2*int(floor(long/zone/2+0.5))) }

// titleBlock holds the fields of ISO 7200 that a rig has.
func (f *framing) titleBlock(x, y float64) {
	rig, meta := f.d.doc.Rig, f.d.o.Meta
	bottom := y + bandHeight
	f.line(components.Wide, Pt{x, y}, Pt{x, bottom})
	rows := []float64{y, y + 11, y + 29, y + 40.5, bottom}
	for _, r := range rows[1:4] {
		f.line(components.Thin, Pt{x, r}, Pt{x + titleWidth, r})
	}
	f.field(x, rows[0], titleWidth, "Rig", rig.About, plain, false)
	f.field(x, rows[1], titleWidth, "Title", "", plain, false)
	title := f.fit(f.d.doc.Title, head, titleWidth-4, true)
	f.text(x+2, rows[1]+11, title.height, title.text, true, Ink, Start)
	if meta.Subtitle != "" {
		f.text(x+2, rows[1]+15.8, plain, f.fit(meta.Subtitle, plain, titleWidth-4, false).text, false, Ink, Start)
	}
	third := titleWidth / 3
	for i, c := range [][2]string{{"Drawn by", rig.DrawnBy}, {"Checked by", rig.CheckedBy}, {"Date", rig.Date}} {
		f.field(x+third*float64(i), rows[2], third, c[0], c[1], plain, i > 0)
	}
	n, of := max(meta.Sheet, 1), max(meta.Of, 1)
	rules := meta.Rules
	if rules == "" {
		rules = f.d.doc.RuleSetName()
	}
	f.field(x, rows[3], 66, "Rule set", rules, plain, false)
	f.field(x+66, rows[3], 18, "Revision", rig.Revision, plain, true)
	f.field(x+84, rows[3], 24, "Sheet", strconv.Itoa(n)+" of "+strconv.Itoa(of), plain, true)
	f.field(x+108, rows[3], 24, "Size", f.paper.name, plain, true)
}

// field is a box of the title block: its name small above, its content below.
func (f *framing) field(x, y, w float64, name, text string, h float64, ruled bool) {
	if ruled {
		f.line(components.Thin, Pt{x, y}, Pt{x, y + 11.5})
	}
	f.text(x+2, y+1.2+tiny, tiny, name, false, Faint, Start)
	switch {
	case text == "":
	case TextWidth(text, tiny, false)*slack > w-4:
		f.under(x+2, y+8, w-4, text)
	default:
		l := f.fit(text, h, w-4, false)
		f.text(x+2, y+9, l.height, l.text, false, Ink, Start)
	}
}

// under writes a text in the smallest letters about a base line: in one line where it
// fits, else in two, of which the second is cut where it must be.
func (f *framing) under(x, y, w float64, text string) {
	lines := wrap(text, tiny, w, false)
	if len(lines) > 1 {
		lines = []string{lines[0], f.fit(strings.Join(lines[1:], " "), tiny, w, false).text}
		y -= tiny * leading / 2
	}
	for i, l := range lines {
		f.text(x, y+float64(i)*tiny*leading, tiny, l, false, Ink, Start)
	}
}

// fit lowers a line of text, down to the smallest letters, and then cuts it, so
// that it is no wider than w millimetres.
func (f *framing) fit(text string, h, w float64, bold bool) words {
	for _, try := range []float64{head, large, plain, tiny} {
		if try <= h && TextWidth(text, try, bold)*slack <= w {
			return words{text, try, bold, Ink}
		}
	}
	runes := []rune(text)
	for len(runes) > 1 && TextWidth(string(runes)+"…", tiny, bold)*slack > w {
		runes = runes[:len(runes)-1]
	}
	return words{string(runes) + "…", tiny, bold, Ink}
}

// cautions are the program's own, and a bar to measure a print by.
func (f *framing) cautions(x, y float64) {
	const step = tiny * leading
	y += plain
	f.text(x, y, plain, "Cautions", true, Ink, Start)
	y += 1.2
	for _, c := range strings.Split(strings.TrimSpace(assets.Cautions), "\n") {
		for _, l := range wrap(c, tiny, cautionWide-4, false) {
			y += step
			f.text(x, y, tiny, l, false, Ink, Start)
		}
		y += 0.9
	}
	const long = 50
	y = f.paper.height - margin - 2.2
	f.line(components.Wide, Pt{x, y}, Pt{x + long, y})
	for i := range 6 {
		f.line(components.Thin, Pt{x + 10*float64(i), y - 1.4}, Pt{x + 10*float64(i), y})
	}
	f.text(x+long+2, y, tiny, "50 mm at full size", false, Faint, Start)
}
