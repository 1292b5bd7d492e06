package canvas

import (
	"image"
	"image/color"
	"image/draw"
	"math"
	"sync"

	"golang.org/x/image/font"
	"golang.org/x/image/font/opentype"
	"golang.org/x/image/math/fixed"

	script "rigline/export/letters"
)

// lettering draws text with the sheet's own letters, as paper prints it, and remembers
// every letter that it has drawn.
type lettering struct {
	mu    sync.Mutex
	fonts map[script.Face]*opentype.Font
	faces map[faceKey]font.Face
	cut   map[letterKey]letter
}

type faceKey struct {
	quarters int // of a pixel
	face     script.Face
}

type letterKey struct {
	faceKey
	r    rune
	part int // quarters of a pixel that it is shifted by
	up   bool
}

// letter is a letter's mask and where it lies from the pen.
type letter struct {
	mask    *image.Alpha
	at      image.Point
	advance float64
}

var letters lettering

// mostLetters bounds the memory that zooming through many sizes takes.
const mostLetters = 8000

func (l *lettering) prepare() {
	if l.cut != nil && len(l.cut) < mostLetters {
		return
	}
	l.cut, l.faces = map[letterKey]letter{}, map[faceKey]font.Face{}
	if l.fonts == nil {
		l.fonts = map[script.Face]*opentype.Font{}
		for _, face := range script.Faces {
			f, err := opentype.Parse(face.TTF())
			if err != nil {
				panic("sheet font: " + err.Error())
			}
			l.fonts[face] = f
		}
	}
}

// draw writes text from a pen at x, y, rightwards or, with up, upwards.
func (l *lettering) draw(img *image.RGBA, text string, x, y, size float64, bold, up bool, c color.RGBA) {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.prepare()
	ink := image.NewUniform(c)
	for _, r := range script.Visual(script.Printed(text)) {
		pen := x
		if up {
			pen = y
		}
		whole := math.Floor(pen)
		part := int((pen - whole) * 4)
		g := l.letter(letterKey{faceOf(r, size, bold), r, part, up})
		if g.mask != nil {
			at := image.Pt(int(whole), int(math.Round(y)))
			if up {
				at = image.Pt(int(math.Round(x)), int(whole))
			}
			dst := g.mask.Rect.Sub(g.mask.Rect.Min).Add(at.Add(g.at))
			draw.DrawMask(img, dst, ink, image.Point{}, g.mask, g.mask.Rect.Min, draw.Over)
		}
		if up {
			y -= g.advance
		} else {
			x += g.advance
		}
	}
}

// width is how long a text is in pixels.
func (l *lettering) width(text string, size float64, bold bool) float64 {
	l.mu.Lock()
	defer l.mu.Unlock()
	l.prepare()
	w := 0.0
	for _, r := range script.Visual(script.Printed(text)) {
		w += l.letter(letterKey{faceOf(r, size, bold), r, 0, false}).advance
	}
	return w
}

// faceOf is the face that shows a letter, at a size in pixels.
func faceOf(r rune, size float64, bold bool) faceKey {
	face, _ := script.Of(r, bold)
	return faceKey{max(4, int(math.Round(size*4))), face}
}

func (l *lettering) letter(k letterKey) letter {
	if g, ok := l.cut[k]; ok {
		return g
	}
	face := l.face(k.faceKey)
	dot := fixed.Point26_6{X: fixed.Int26_6(k.part * 16)}
	if k.up {
		dot.X = 0
	}
	dr, mask, mp, advance, ok := face.Glyph(dot, k.r)
	g := letter{advance: float64(advance) / 64}
	if ok && !dr.Empty() {
		a := image.NewAlpha(image.Rect(0, 0, dr.Dx(), dr.Dy()))
		draw.Draw(a, a.Rect, mask, mp, draw.Src)
		g.mask, g.at = a, dr.Min
		if k.up { // a quarter turn to the left about the pen
			t := image.NewAlpha(image.Rect(0, 0, dr.Dy(), dr.Dx()))
			for y := range dr.Dy() {
				for x := range dr.Dx() {
					t.SetAlpha(y, dr.Dx()-1-x, a.AlphaAt(x, y))
				}
			}
			g.mask, g.at = t, image.Pt(dr.Min.Y, -dr.Max.X)
		}
	}
	l.cut[k] = g
	return g
}

func (l *lettering) face(k faceKey) font.Face {
	if f, ok := l.faces[k]; ok {
		return f
	}
	f, err := opentype.NewFace(l.fonts[max(k.face, script.Sheet)], &opentype.FaceOptions{Size: float64(k.quarters) / 4, DPI: 72, Hinting: font.HintingNone})
	if err != nil {
		panic("sheet font: " + err.Error())
	}
	l.faces[k] = f
	return f
}
