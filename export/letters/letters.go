// Package letters readies words for paper: it knows which of the embedded letters
// show a character, what is printed for one that none of them shows, how Arabic
// letters join and those of Thai, Khmer and the scripts of India take their shapes, and in which order words
// that are read from the right are printed.
package letters

import (
	"fmt"
	"sync"

	xfont "golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"

	"rigline/assets"
)

// Face is one of the embedded sets of letters.
type Face int

// The sheet's own letters, and those of other scripts that stand in for them.
const (
	Sheet Face = iota
	SheetBold
	Further
	FurtherBold
	Han
	Hangul
	Thai // shaped, as all that follow: see Shape
	Devanagari
	Bengali
	Gurmukhi
	Gujarati
	Oriya
	Tamil
	Telugu
	Kannada
	Malayalam
	Sinhala
	Lao
	Khmer
	faceCount
)

// Faces lists them all.
var Faces = func() (all []Face) {
	for f := range faceCount {
		all = append(all, f)
	}
	return all
}()

// TTF is the face as TrueType. It must not be written to.
func (f Face) TTF() []byte {
	if s, ok := scripts[f]; ok {
		return assets.Script(s.file)
	}
	return [...][]byte{assets.FontRegular, assets.FontBold, assets.FurtherRegular, assets.FurtherBold, assets.Han, assets.Hangul}[f]
}

// fonts reads the faces once.
var fonts = sync.OnceValue(func() [faceCount]*sfnt.Font {
	var all [faceCount]*sfnt.Font
	for _, f := range Faces {
		font, err := sfnt.Parse(f.TTF())
		if err != nil {
			panic(fmt.Sprintf("embedded letters %d: %v", f, err))
		}
		all[f] = font
	}
	return all
})

// shown remembers which face shows a character, regular and bold.
var shown struct {
	mu  sync.Mutex
	buf sfnt.Buffer
	is  [2]map[rune]Face
}

// Advance is the width of a character, as part of the size of the letters. It is
// false where no face shows it.
func Advance(r rune, bold bool) (float64, bool) {
	f, ok := Of(r, bold)
	if !ok {
		return 0, false
	}
	shown.mu.Lock()
	defer shown.mu.Unlock()
	font := fonts()[f]
	g, err := font.GlyphIndex(&shown.buf, r)
	if err != nil {
		return 0, false
	}
	const whole = 1000
	a, err := font.GlyphAdvance(&shown.buf, g, fixed.I(whole), xfont.HintingNone)
	if err != nil {
		return 0, false
	}
	return float64(a) / 64 / whole, true
}

const noFace Face = -1

// Of tells which face shows a character: the sheet's own where they can, else the
// further ones, and those in their regular weight where they have no bold. It is
// false where none does.
func Of(r rune, bold bool) (Face, bool) {
	own, weight := Sheet, 0
	if bold {
		own, weight = SheetBold, 1
	}
	if r >= ' ' && r < 0x7f {
		return own, true
	}
	shown.mu.Lock()
	defer shown.mu.Unlock()
	if shown.is[weight] == nil {
		shown.is[weight] = map[rune]Face{}
	}
	f, known := shown.is[weight][r]
	if !known {
		f = noFace
		for _, candidate := range append([]Face{own, own + Further, Further}, Faces[FurtherBold+1:]...) {
			if g, err := fonts()[candidate].GlyphIndex(&shown.buf, r); err == nil && g != 0 && r <= 0xffff {
				f = candidate
				break
			}
		}
		shown.is[weight][r] = f
	}
	return f, f != noFace
}
