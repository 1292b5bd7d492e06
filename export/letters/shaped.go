package letters

import (
	"bytes"
	"fmt"
	"sync"

	"github.com/go-text/typesetting/di"
	"github.com/go-text/typesetting/font"
	"github.com/go-text/typesetting/font/opentype"
	"github.com/go-text/typesetting/language"
	"github.com/go-text/typesetting/shaping"
	"golang.org/x/image/math/fixed"
)

// Curve is a piece of an outline: to the last point, straight with one point, round a
// control point with two. With none it closes the outline. The first of an outline
// moves.
type Curve struct {
	Move bool
	Pts  []Point
}

// Point is a place in parts of the size of the letters, from the pen on the base line,
// right and up.
type Point struct{ X, Y float64 }

// shaper keeps its work between texts, so one is asked at a time.
var shaper struct {
	mu    sync.Mutex
	faces map[Face]*font.Face
	by    shaping.HarfbuzzShaper
}

// scripts are the faces whose letters change shape, order or place beside each other.
var scripts = map[Face]struct {
	file   string // of the letters
	script language.Script
	tongue string
}{
	Thai: {"thai", language.Thai, "th"}, Lao: {"lao", language.Lao, "lo"}, Khmer: {"khmer", language.Khmer, "km"},
	Devanagari: {"devanagari", language.Devanagari, "hi"}, Bengali: {"bengali", language.Bengali, "bn"}, Gurmukhi: {"gurmukhi", language.Gurmukhi, "pa"},
	Gujarati: {"gujarati", language.Gujarati, "gu"}, Oriya: {"oriya", language.Oriya, "or"}, Tamil: {"tamil", language.Tamil, "ta"}, Telugu: {"telugu", language.Telugu, "te"},
	Kannada: {"kannada", language.Kannada, "kn"}, Malayalam: {"malayalam", language.Malayalam, "ml"}, Sinhala: {"sinhala", language.Sinhala, "si"},
}

// Shaped tells whether the letters of a face have to be shaped together to be read.
func (f Face) Shaped() bool { _, ok := scripts[f]; return ok }

// Shape draws a word of a face that is shaped as it is written: the outlines, and how
// far the pen goes on, in parts of the size of the letters.
func Shape(of Face, word string) (outlines []Curve, wide float64) {
	shaper.mu.Lock()
	defer shaper.mu.Unlock()
	face := shaper.faces[of]
	if face == nil {
		f, err := font.ParseTTF(bytes.NewReader(of.TTF()))
		if err != nil {
			panic(fmt.Sprintf("embedded letters %d: %v", of, err))
		}
		if shaper.faces == nil {
			shaper.faces = map[Face]*font.Face{}
		}
		face, shaper.faces[of] = f, f
	}
	const size = 1000
	text := []rune(word)
	out := shaper.by.Shape(shaping.Input{Text: text, RunEnd: len(text), Direction: di.DirectionLTR, Face: face,
		Size: fixed.I(size), Script: scripts[of].script, Language: language.NewLanguage(scripts[of].tongue)})
	part := func(v fixed.Int26_6) float64 { return float64(v) / 64 / size }
	em := float64(face.Upem())
	for _, g := range out.Glyphs {
		shape, ok := face.GlyphData(g.GlyphID).(font.GlyphOutline)
		x, y := wide+part(g.XOffset), part(g.YOffset)
		wide += part(g.XAdvance)
		if !ok {
			continue
		}
		for i, s := range shape.Segments {
			if s.Op == opentype.SegmentOpMoveTo && i > 0 {
				outlines = append(outlines, Curve{})
			}
			c := Curve{Move: s.Op == opentype.SegmentOpMoveTo}
			for _, p := range s.ArgsSlice() {
				c.Pts = append(c.Pts, Point{x + float64(p.X)/em, y + float64(p.Y)/em})
			}
			outlines = append(outlines, c)
		}
		if len(shape.Segments) > 0 {
			outlines = append(outlines, Curve{})
		}
	}
	return outlines, wide
}
