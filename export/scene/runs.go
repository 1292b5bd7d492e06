package scene

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/components/units"
)

// mainMM2 is the section from which a DC run counts as a main and is drawn heavy:
// 6 AWG. Common practice, no source.
const mainMM2 = units.MM2(13)

const (
	hopRadius    = 3.5
	dotRadius    = 2.5
	slashHalf    = 4
	crossEvery   = 40
	crossHalf    = 3.5
	feetPerMetre = 1 / 0.3048
)

// Style is how a run's line is drawn: its colour, its pattern and its width.
type Style struct {
	Role   Role
	Dash   Dash
	Weight components.Weight
}

// half is half of the room that a line of a style takes.
func (s Style) half() float64 {
	width, _ := (&Shape{Dash: s.Dash, Weight: s.Weight}).Stroke()
	return max(lineHalf, width/2+0.5)
}

// StyleOf gives the style of a run by what its cores carry and by its status.
func StyleOf(doc *components.Document, r components.Run) Style {
	return styleOf(doc, r, doc.CoresOf(r))
}

func styleOf(doc *components.Document, r components.Run, cores []components.Core) Style {
	st := Style{Role: Ink, Weight: components.Wide}
	has := func(poles ...components.Pole) bool {
		return slices.ContainsFunc(cores, func(c components.Core) bool { return slices.Contains(poles, c.Role()) })
	}
	switch {
	case has(components.L1, components.L):
		st.Role = Hot1
	case has(components.L2):
		st.Role, st.Dash = Hot2, ShortDash
	case has(components.Pos):
		st.Role, st.Dash = DCPos, Edged
	case has(components.Neg):
		st.Role, st.Dash = DCNeg, EdgedLongDash
	case has(components.N):
		st.Role, st.Dash = Neutral, LongDash
	case has(components.G):
		st.Role, st.Dash = Ground, DashDot
	}
	dc := st.Role == DCPos || st.Role == DCNeg
	pole := components.Pos
	if st.Role == DCNeg {
		pole = components.Neg
	}
	if size, ok := r.Size(pole); dc && ok && size.MM2() > mainMM2 {
		st.Weight = components.Heavy
	}
	if dc && ofArray(doc, r) {
		st.Weight = components.Thin
		if st.Role == DCPos {
			st.Role, st.Dash = PV, EdgedShortDash
		}
	}
	if r.Status == components.Existing || r.Status == components.Remove {
		st.Weight = components.Thin
	}
	return st
}

func ofArray(doc *components.Document, r components.Run) bool {
	for _, ref := range []components.PortRef{r.From, r.To} {
		if p, ok := doc.Part(ref.Part); ok && (p.Kind.ID == components.SolarArray.ID || p.Kind.ID == components.SolarController.ID && ref.Port == "pv") {
			return true
		}
	}
	return false
}

// runs draws every line, with its hops, its crosses where it comes out, and the
// dots where lines join.
func (d *drawing) runs() {
	for _, r := range d.byRank() {
		path, ok := d.routes.paths[r.ID]
		if !ok {
			continue
		}
		d.sheet.Paths[r.ID] = path
		d.sheet.Names[string(r.ID)] = d.runName(r)
		st := d.styles[r.ID]
		ink := Shape{Address: string(r.ID), Layer: RunLayer, Role: st.Role, Weight: st.Weight, Dash: st.Dash, Dim: d.o.Live[r.ID].Dead}
		d.strand(ink, path, d.routes.hops[r.ID])
		for _, t := range d.routes.tails[r.ID] {
			d.strand(ink, t, d.routes.hops[r.ID])
		}
		if r.Status == components.Remove {
			d.crosses(ink, path)
		}
	}
	for _, q := range d.routes.dots {
		d.add(Shape{Address: string(q.run), Layer: RunLayer, Form: Disc, Pts: []Pt{q.at}, R: dotRadius, Role: d.styles[q.run].Role, Dim: d.o.Live[q.run].Dead})
	}
}

// byRank orders runs for painting: where lines share a piece, the one that says
// more is seen.
func (d *drawing) byRank() []components.Run {
	rank := map[Role]int{}
	for i, role := range []Role{Ink, Ground, Neutral, DCNeg, PV, DCPos, Hot2, Hot1} {
		rank[role] = i
	}
	runs := slices.Clone(d.doc.Runs())
	slices.SortStableFunc(runs, func(a, b components.Run) int {
		return rank[d.styles[a.ID].Role] - rank[d.styles[b.ID].Role]
	})
	return runs
}

func (d *drawing) runName(r components.Run) string {
	return fmt.Sprintf("%s from %s to %s", strings.Join(d.runFacts(r), ", "), r.From, r.To)
}

// strand draws a line with small arcs where it jumps others.
func (d *drawing) strand(ink Shape, path []Pt, hops []Pt) {
	piece := []Pt{path[0]}
	end := func() {
		if len(piece) > 1 {
			sh := ink
			sh.Form, sh.Pts = Polyline, piece
			d.add(sh)
		}
	}
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		var on []Pt
		for _, h := range hops {
			if a.Y == b.Y && h.Y == a.Y && h.X > min(a.X, b.X) && h.X < max(a.X, b.X) {
				on = append(on, h)
			}
		}
		way := 1.0
		if b.X < a.X {
			way = -1
		}
		slices.SortFunc(on, func(p, q Pt) int { return int(way * (p.X - q.X)) })
		for _, h := range on {
			piece = append(piece, Pt{h.X - way*hopRadius, h.Y})
			end()
			sh := ink
			sh.Form, sh.Pts, sh.R, sh.From, sh.To, sh.Dash = Arc, []Pt{h}, hopRadius, 180, 360, ink.Dash.Unbroken()
			d.add(sh)
			piece = []Pt{{h.X + way*hopRadius, h.Y}}
		}
		piece = append(piece, b)
	}
	end()
}

// crosses strikes a line out.
func (d *drawing) crosses(ink Shape, path []Pt) {
	for i := 1; i < len(path); i++ {
		a, b := path[i-1], path[i]
		long := dist(a, b)
		n := max(1, int(long/crossEvery))
		for k := range n {
			t := (float64(k) + 0.5) / float64(n)
			c := Pt{a.X + t*(b.X-a.X), a.Y + t*(b.Y-a.Y)}
			d.cross(ink, c, crossHalf)
		}
	}
}

func (d *drawing) cross(ink Shape, c Pt, half float64) {
	ink.Form, ink.Dash, ink.Weight = Polyline, Solid, components.Thin
	for _, s := range []float64{-1, 1} {
		sh := ink
		sh.Pts = []Pt{{c.X - half, c.Y - s*half}, {c.X + half, c.Y + s*half}}
		d.add(sh)
	}
}

// runFacts are the parts of a run's label: tag, size, cores where they are not
// plain, length. What is not known is a question mark.
func (d *drawing) runFacts(r components.Run) []string {
	facts := []string{string(r.ID)}
	size := "?"
	if v, _ := r.Value("size"); v.Known() {
		size = v.Str()
		if s, err := units.ParseSize(size); err == nil {
			size = strings.Replace(s.String(), "mm2", "mm²", 1)
		}
	}
	if sets := r.Figure("sets"); sets.Known() && sets.Value > 1 {
		size = strconv.Itoa(int(sets.Value)) + " × " + size
	}
	if g, from := r.Value("ground_size"); from == components.Given && g.Known() {
		size += d.say(" + G ") + g.Str()
	}
	facts = append(facts, size)
	if letters := d.coreLetters(r); letters != "" {
		facts = append(facts, letters)
	}
	return append(facts, d.length(r))
}

var coreSigns = strings.NewReplacer(">", "→", "-", "−")

// coreLetters are the letters of a run's cores where the pole is to be read and not
// only seen in the line: on DC, on leg 2, and where a core crosses from pole to pole.
func (d *drawing) coreLetters(r components.Run) string {
	role := d.styles[r.ID].Role
	tell := role == DCPos || role == DCNeg || role == PV || role == Hot2
	var words []string
	for _, c := range d.doc.CoresOf(r) {
		tell = tell || c.From != c.To
		words = append(words, coreSigns.Replace(c.String()))
	}
	if !tell {
		return ""
	}
	return d.say(strings.Join(words, " "))
}

func (d *drawing) length(r components.Run) string {
	f := r.Figure("length_ft")
	if d.doc.Units == "metric" {
		if !f.Known() {
			return "? m"
		}
		return metres(f.Value/feetPerMetre) + " m"
	}
	if !f.Known() {
		return "? ft"
	}
	return figure(f.Value) + " ft"
}

// metres prints a length in metres: below one to the centimetre.
func metres(v float64) string {
	if v < 1 {
		return strconv.FormatFloat(math.Round(v*100)/100, 'f', -1, 64)
	}
	return figure(v)
}

// figure prints a length to a tenth below ten and whole above.
func figure(v float64) string {
	if v < 10 {
		return strconv.FormatFloat(math.Round(v*10)/10, 'f', -1, 64)
	}
	return strconv.FormatFloat(math.Round(v), 'f', 0, 64)
}
