// Package pdf writes the hand-off as one PDF that stands alone: text as text in the
// sheet's own embedded letters, every drawing from the same scene as the SVG, and
// no clock in it.
package pdf

import (
	"bytes"
	"fmt"
	"io"
	"time"
	"unicode/utf8"

	"codeberg.org/go-pdf/fpdf"

	"rigline/export/letters"
	"rigline/export/lists"
	"rigline/export/scene"
)

const (
	pointsInAnMM = 72 / 25.4
)

// Book is a PDF in the making.
type Book struct {
	pdf   *fpdf.Fpdf
	about lists.About
	pen   pen
	words map[int]bool // the pages of words, by number
	names bool         // some character is printed by its name
	has   map[letters.Face]bool
}

// pen is how the last line was drawn, so that only changes are written.
type pen struct {
	set   bool
	color [3]int
	width float64
	dash  scene.Dash
	scale float64
	fill  [3]int
	ink   [3]int
	face  letters.Face
	size  float64 // zero before the first letter of a page
}

// New begins a book. Its dates are the project's date, or the first day of 1980
// where the project gives none, so that the same project gives the same bytes.
func New(about lists.About) *Book {
	f := fpdf.New("P", "mm", "A4", "")
	f.SetCatalogSort(true)
	f.SetAutoPageBreak(false, 0)
	f.SetMargins(0, 0, 0)
	f.SetCompression(true)
	f.SetProducer("rigline", false)
	f.SetTitle(letters.Printed(about.Title), true)
	f.SetSubject(letters.Printed("Revision "+about.Revision+", rule set "+about.Rules), true)
	day := dayOf(about.Date)
	f.SetCreationDate(day)
	f.SetModificationDate(day)
	f.SetLang("en")
	f.SetLineCapStyle("butt")
	f.SetLineJoinStyle("miter")
	return &Book{pdf: f, about: about, words: map[int]bool{}, has: map[letters.Face]bool{}}
}

// dayOf reads the project's date.
func dayOf(date string) time.Time {
	if t, err := time.Parse("2006-01-02", date); err == nil {
		return t
	}
	return time.Date(1980, 1, 1, 0, 0, 0, 0, time.UTC)
}

// Write writes the book. Nothing is written to w before the whole file stands.
func (b *Book) Write(w io.Writer) error {
	var out bytes.Buffer
	if err := b.pdf.Output(&out); err != nil {
		return fmt.Errorf("make PDF: %w", err)
	}
	if _, err := w.Write(out.Bytes()); err != nil {
		return fmt.Errorf("write PDF: %w", err)
	}
	return nil
}

// page begins a page of a size in millimetres, with a bookmark where it has a name.
func (b *Book) page(width, height float64, mark string) {
	b.pdf.AddPageFormat("P", fpdf.SizeType{Wd: width, Ht: height})
	b.pen = pen{}
	if mark != "" {
		b.pdf.Bookmark(letters.Printed(mark), 0, 0)
	}
}

// stroke readies the pen for a line. scale is millimetres a sheet unit, by which
// the lengths of dashes are told.
func (b *Book) stroke(color [3]int, width float64, dash scene.Dash, scale float64) {
	p := &b.pen
	if !p.set || p.color != color {
		b.pdf.SetDrawColor(color[0], color[1], color[2])
	}
	if !p.set || p.width != width {
		b.pdf.SetLineWidth(width)
	}
	if !p.set || p.dash != dash || p.scale != scale {
		var lengths []float64
		for _, l := range dash.Pattern() {
			lengths = append(lengths, l*scale)
		}
		b.pdf.SetDashPattern(lengths, 0)
	}
	if !p.set {
		p.fill, p.ink = [3]int{-1}, [3]int{-1}
	}
	p.set, p.color, p.width, p.dash, p.scale = true, color, width, dash, scale
}

func (b *Book) filling(color [3]int) {
	if b.pen.fill != color || !b.pen.set {
		b.pdf.SetFillColor(color[0], color[1], color[2])
		b.pen.fill = color
	}
}

// text writes on a base line; height is that of capitals, x and y are in
// millimetres. angle is 0 or 90, to be read from the right.
func (b *Book) text(x, y, height float64, text string, bold bool, color [3]int, anchor scene.Anchor, angle int) {
	b.names = b.names || letters.Called(text)
	text = letters.Visual(letters.Printed(text))
	if text == "" {
		return
	}
	if b.pen.ink != color || !b.pen.set {
		b.pdf.SetTextColor(color[0], color[1], color[2])
		b.pen.ink = color
	}
	back := 0.0
	switch anchor {
	case scene.Middle:
		back = scene.TextWidth(text, height, bold) / 2
	case scene.End:
		back = scene.TextWidth(text, height, bold)
	}
	if angle == 90 {
		b.pdf.TransformBegin()
		b.pdf.TransformRotate(90, x, y)
		b.spell(x-back, y, height, text, bold)
		b.pdf.TransformEnd()
		return
	}
	b.spell(x-back, y, height, text, bold)
}

// spell prints a text piece by piece, each with the letters that show it.
func (b *Book) spell(x, y, height float64, text string, bold bool) {
	size := scene.FontSize(height, bold) * pointsInAnMM
	for text != "" {
		face, piece := sameFace(text, bold)
		if b.pen.face != face || b.pen.size != size {
			b.setFont(face, size)
			b.pen.face, b.pen.size = face, size
		}
		text = text[len(piece):]
		if face.Shaped() {
			x += b.outline(x, y, size/pointsInAnMM, face, piece)
			continue
		}
		b.pdf.Text(x, y, piece)
		x += scene.TextWidth(piece, height, bold)
	}
}

// outline draws a word whose letters have to be shaped, which the library's texts
// cannot be: as outlines, in the colour of the text, with the text unseen beneath them
// for whoever searches or copies. size is that of the letters. It gives the width.
func (b *Book) outline(x, y, size float64, face letters.Face, word string) float64 {
	const unseen, seen = 3, 0
	curves, wide := letters.Shape(face, word)
	b.pdf.SetTextRenderingMode(unseen)
	b.pdf.Text(x, y, word)
	b.pdf.SetTextRenderingMode(seen)
	if len(curves) == 0 {
		return wide * size
	}
	b.filling(b.pen.ink)
	at := func(p letters.Point) (float64, float64) { return x + p.X*size, y - p.Y*size }
	var pen letters.Point
	for _, c := range curves {
		switch {
		case len(c.Pts) == 0:
			b.pdf.ClosePath()
			continue
		case c.Move:
			b.pdf.MoveTo(at(c.Pts[0]))
		case len(c.Pts) == 1:
			b.pdf.LineTo(at(c.Pts[0]))
		case len(c.Pts) == 2: // the library knows cubic curves alone
			q, to := c.Pts[0], c.Pts[1]
			x0, y0 := at(letters.Point{X: pen.X + (q.X-pen.X)*2/3, Y: pen.Y + (q.Y-pen.Y)*2/3})
			x1, y1 := at(letters.Point{X: to.X + (q.X-to.X)*2/3, Y: to.Y + (q.Y-to.Y)*2/3})
			x2, y2 := at(to)
			b.pdf.CurveBezierCubicTo(x0, y0, x1, y1, x2, y2)
		default:
			x0, y0 := at(c.Pts[0])
			x1, y1 := at(c.Pts[1])
			x2, y2 := at(c.Pts[2])
			b.pdf.CurveBezierCubicTo(x0, y0, x1, y1, x2, y2)
		}
		pen = c.Pts[len(c.Pts)-1]
	}
	b.pdf.DrawPath("F")
	return wide * size
}

// sameFace is the beginning of a text that one face shows.
func sameFace(text string, bold bool) (letters.Face, string) {
	first, _ := utf8.DecodeRuneInString(text)
	face, _ := letters.Of(first, bold)
	for i, r := range text {
		if next, _ := letters.Of(r, bold); next != face {
			return face, text[:i]
		}
	}
	return face, text
}

// setFont takes up a face, which is embedded once it is used.
func (b *Book) setFont(face letters.Face, size float64) {
	family := fmt.Sprintf("sheet%d", face)
	if !b.has[face] {
		b.pdf.AddUTF8FontFromBytes(family, "", bytes.Clone(face.TTF()))
		b.has[face] = true
	}
	b.pdf.SetFont(family, "", size)
}
