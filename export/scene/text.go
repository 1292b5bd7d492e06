package scene

import (
	"fmt"
	"strings"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"rigline/export/letters"
)

// Heights of capital letters (ISO 3098), in sheet units.
const (
	SmallHeight = 7.2 // 1.8 mm: sizes, ratings, names
	TagHeight   = 10  // 2.5 mm: tags
	TitleHeight = 14  // 3.5 mm
	HeadHeight  = 20  // 5 mm: the sheet's title
)

// Of the font, as parts of the height of a capital.
const (
	descent = 0.30 // below the base line
	leading = 1.55 // from base line to base line
)

// slack widens every measured text a little, for a reader without the embedded
// font, whose stand-in is of nearly the same width.
const slack = 1.03

// face is a font measured at 1,000 units an em.
type face struct {
	mu   sync.Mutex
	bold bool
	font *sfnt.Font
	buf  sfnt.Buffer
	cap  float64
	wide map[rune]float64 // advances, as parts of the height of a capital

	ascii [128]float64 // the same for plain letters, read without the lock
}

var faces = sync.OnceValue(func() [2]*face {
	regular, bold := newFace(letters.Sheet), newFace(letters.SheetBold)
	bold.bold = true
	return [2]*face{regular, bold}
})

const em = 1000

// unlettered is the least width, as part of the height of a capital, of a character
// that the embedded letters lack: a reader's stand-in is about an em wide.
const unlettered = 1.5

func newFace(of letters.Face) *face {
	f, err := opentype.Parse(of.TTF())
	if err != nil {
		panic(fmt.Sprintf("sheet font: %v", err))
	}
	fc := &face{font: f, wide: map[rune]float64{}}
	m, err := f.Metrics(&fc.buf, fixed.I(em), font.HintingNone)
	if err != nil || m.CapHeight <= 0 {
		panic(fmt.Sprintf("sheet font: no height of capitals (%v)", err))
	}
	fc.cap = float64(m.CapHeight) / 64
	for r := range fc.ascii {
		fc.ascii[r] = fc.advance(rune(r))
	}
	return fc
}

func (f *face) advance(r rune) float64 {
	f.mu.Lock()
	defer f.mu.Unlock()
	if w, ok := f.wide[r]; ok {
		return w
	}
	w := 0.0
	if g, err := f.font.GlyphIndex(&f.buf, r); err == nil && g == 0 && r > 0x7f {
		w = f.elsewhere(r)
	} else if err == nil {
		if a, err := f.font.GlyphAdvance(&f.buf, g, fixed.I(em), font.HintingNone); err == nil {
			w = float64(a) / 64 / f.cap
		}
	}
	f.wide[r] = w
	return w
}

// elsewhere is the width of a character that the face itself lacks: in the further
// letters, or of the name that is printed in its place.
func (f *face) elsewhere(r rune) float64 {
	if w, ok := letters.Advance(r, f.bold); ok {
		return w * em / f.cap
	}
	w := 0.0
	name := letters.Printed(string(r))
	for _, c := range name {
		w += f.ascii[c]
	}
	if name != "" {
		w = max(w, unlettered)
	}
	return w
}

func faceOf(bold bool) *face {
	if bold {
		return faces()[1]
	}
	return faces()[0]
}

// TextWidth is the width of a text whose capitals are height tall, in the same unit.
func TextWidth(text string, height float64, bold bool) float64 {
	return faceOf(bold).add(0, text) * height
}

// add adds the width of a text to what stands before it, as parts of the height of a
// capital.
func (f *face) add(w float64, text string) float64 {
	for _, r := range text {
		if r < 128 {
			w += f.ascii[r]
		} else {
			w += f.advance(r)
		}
	}
	return w
}

// FontSize is the size, from which toolkits count, of letters whose capitals are
// height tall, in the same unit.
func FontSize(height float64, bold bool) float64 { return height * em / faceOf(bold).cap }

// Box is the area that a shape covers; of a text it is measured with the font.
func (s Shape) Box() Box {
	if len(s.Pts) == 0 {
		return Box{}
	}
	switch s.Form {
	case Circle, Disc, Arc:
		return Box{s.Pts[0], s.Pts[0]}.grown(s.R)
	case Text:
		return s.textBox()
	}
	b := Box{s.Pts[0], s.Pts[0]}
	for _, p := range s.Pts {
		b = b.with(p)
	}
	return b
}

func (s Shape) textBox() Box {
	w := TextWidth(s.Text, s.Height, s.Bold) * slack
	x0 := 0.0
	switch s.Anchor {
	case Middle:
		x0 = -w / 2
	case End:
		x0 = -w
	}
	p := s.Pts[0]
	up, down := s.Height, s.Height*descent
	if s.Angle == 90 { // read from the right: it runs upwards
		return Box{Pt{p.X - up, p.Y - x0 - w}, Pt{p.X + down, p.Y - x0}}
	}
	return Box{Pt{p.X + x0, p.Y - up}, Pt{p.X + x0 + w, p.Y + down}}
}

// Wrap breaks a text into lines no wider than width. A word that is wider itself is
// broken where it must be.
func Wrap(text string, height, width float64, bold bool) []string {
	return wrap(text, height, width, bold)
}

func wrap(text string, height, width float64, bold bool) []string {
	var lines, line []string
	f, wide := faceOf(bold), 0.0 // wide is that of the line so far
	for _, word := range broken(glued(text), height, width, bold) {
		if len(line) > 0 {
			if next := f.add(f.add(wide, " "), word); next*height*slack <= width {
				line, wide = append(line, word), next
				continue
			}
			lines, line = append(lines, strings.Join(line, " ")), line[:0]
		}
		line, wide = append(line, word), f.add(0, word)
	}
	if len(line) > 0 {
		lines = append(lines, strings.Join(line, " "))
	}
	return lines
}

// broken cuts words that are wider than a line.
func broken(words []string, height, width float64, bold bool) []string {
	var out []string
	for _, w := range words {
		for TextWidth(w, height, bold)*slack > width {
			cut, wide := 0, 0.0
			for i, r := range w {
				wide += TextWidth(string(r), height, bold) * slack
				if wide > width && i > 0 {
					break
				}
				cut = i + len(string(r))
			}
			if cut >= len(w) {
				break
			}
			out = append(out, w[:cut])
			w = w[cut:]
		}
		out = append(out, w)
	}
	return out
}

// Words splits a text where a line may be broken: a unit stays with its number.
func Words(text string) []string { return glued(text) }

// glued splits a text into words, but leaves a unit with its number.
func glued(text string) []string {
	var out []string
	for _, w := range strings.Fields(text) {
		if n := len(out); n > 0 && strings.Contains(" A Ah V VA kVA W kW Wh ft m mm² AWG ", " "+strings.TrimRight(w, ",.;")+" ") && strings.ContainsAny(out[n-1][len(out[n-1])-1:], "0123456789?") {
			out[n-1] += " " + w
			continue
		}
		out = append(out, w)
	}
	return out
}
