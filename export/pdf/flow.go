package pdf

import (
	"fmt"
	"strings"

	"rigline/export/folio"
	"rigline/export/letters"
	"rigline/export/lists"
	"rigline/export/scene"
)

// Of the pages of words, in millimetres. The filing margin is on the left.
const (
	filing   = 20.0
	edge     = 10.0
	topEdge  = 22.0 // below the head of a page
	footRoom = 21.5 // of the foot: cautions, revision, page
	body     = 2.3  // height of capitals
	small    = 1.8
	least    = 1.5 // of the cautions
	leading  = 1.6
	leanest  = 20.0 // of a column to be filled in by hand
)

var (
	black = [3]int{0x1b, 0x1b, 0x1f}
	grey  = [3]int{0x5f, 0x65, 0x6d}
	rule  = [3]int{0xb0, 0xb4, 0xba}

	danger = [3]int{0xa4, 0x16, 0x1a}
)

// flow writes pages of words, one below the other.
type flow struct {
	*Book
	width, height float64
	larger        [2]float64 // the next larger paper, for drawings that ask for it
	title         string
	y             float64
}

// Folio writes the whole hand-off: the drawings, a page a state, the marked sheet,
// then the chapters. metric chooses A4, else letter paper, for the pages of words.
func (b *Book) Folio(f *folio.Folio, metric bool) {
	w := &flow{Book: b, width: 279.4, height: 215.9, larger: [2]float64{431.8, 279.4}}
	if metric {
		w.width, w.height, w.larger = 297, 210, [2]float64{420, 297}
	}
	for _, d := range f.Sheets {
		b.Sheet(d.Sheet, d.Title)
	}
	for _, d := range f.States {
		w.drawing(d)
	}
	for _, d := range f.Marked {
		b.Sheet(d.Sheet, d.Title)
	}
	for _, c := range f.Chapters {
		w.chapter(c)
	}
	if b.names {
		w.y += 2
		w.paragraph(filing, small, namesNote, grey)
	}
	b.foots(w)
}

const namesNote = "Where a word in this book stands in square brackets as a name, a number U+… or a byte, the letters embedded here do not show that character; it is called by its Unicode name or number instead. The SVG drawings and report.html have the character itself, in the letters of whoever reads them."

// foots writes the foot of every page once their number is known: on the pages of
// words with the cautions, on the drawings, which carry those, the number alone.
func (b *Book) foots(w *flow) {
	n := b.pdf.PageCount()
	_, last := b.pdf.GetPageSize() // from whose upper edge the library counts on every page
	for i := 1; i <= n; i++ {
		b.pdf.SetPage(i)
		b.setFont(letters.Sheet, 1)
		b.pen = pen{}
		b.pdf.SetFillColor(255, 255, 255) // the library knows the last page's, not this one's, and writes text in it where it is the text's
		width, height, _ := b.pdf.PageSize(i)
		down := last - height
		page := fmt.Sprintf("page %d of %d", i, n)
		if !b.words[i] {
			b.text(width-edge, height-1.4+down, small, page, false, grey, scene.End, 0)
			continue
		}
		y := height - edge + down
		b.text(width-edge, y, small, page, false, black, scene.End, 0)
		b.text(filing, y, small, strings.Join([]string{fit(given(b.about.Title), small, 70), "revision " + fit(given(b.about.Revision), small, 20), fit(given(b.about.Date), small, 25), "rule set " + fit(given(b.about.Rules), small, 80)}, " · "), false, black, scene.Start, 0)
		if b.about.Open != "" {
			b.text(width-edge-25, y, small, b.about.Open, true, danger, scene.End, 0)
		}
		lines := scene.Wrap(strings.Join(b.about.Cautions, " "), least, width-filing-edge, false)
		for k, l := range lines {
			b.text(filing, y-3.4-float64(len(lines)-1-k)*least*leading, least, l, false, grey, scene.Start, 0)
		}
		b.stroke(rule, 0.18, scene.Solid, 1)
		b.pdf.Line(filing, height-footRoom+down, width-edge, height-footRoom+down)
	}
}

func given(s string) string {
	if s == "" {
		return "not given"
	}
	return s
}

// fit cuts a line that is too wide.
func fit(text string, height, width float64) string {
	runes := []rune(text)
	if scene.TextWidth(text, height, false) <= width {
		return text
	}
	for len(runes) > 0 && scene.TextWidth(string(runes)+"…", height, false) > width {
		runes = runes[:len(runes)-1]
	}
	return string(runes) + "…"
}

// begin starts a page under the title at hand.
func (w *flow) begin(mark string) {
	w.page(w.width, w.height, mark)
	w.words[w.pdf.PageCount()] = true
	title := w.title
	if mark == "" {
		title += ", continued"
	}
	w.text(filing, edge+4.5, 3.5, fit(title, 3.5, w.width-filing-edge-75), true, black, scene.Start, 0)
	w.text(w.width-edge, edge+4.5, body, fit(given(w.about.Title), body, 70), false, grey, scene.End, 0)
	w.stroke(black, 0.35, scene.Solid, 1)
	w.pdf.Line(filing, edge+7, w.width-edge, edge+7)
	w.y = topEdge
}

func (w *flow) left() float64 { return w.height - footRoom - 2 - w.y }

func (w *flow) room() float64 { return w.width - filing - edge }

// need starts another page where less than some height is left.
func (w *flow) need(height float64) {
	if w.left() < height {
		w.begin("")
	}
}

// line writes a line of words and goes on below it.
func (w *flow) line(x, height float64, text string, bold bool, color [3]int) {
	w.need(height * leading)
	w.y += height * leading
	w.text(x, w.y-height*(leading-1), height, text, bold, color, scene.Start, 0)
}

// paragraph writes words, broken to the width of the page.
func (w *flow) paragraph(x, height float64, text string, color [3]int) {
	for _, l := range scene.Wrap(text, height, w.width-edge-x, false) {
		w.line(x, height, l, false, color)
	}
}

// roomy is the scale below which a drawing takes the next larger paper: its smallest
// letters, 1.8 mm high, would come out under 1.4 mm.
const roomy = 0.78

// drawing puts a drawing on a page of words, as large as fits, with its lines below.
func (w *flow) drawing(d folio.Drawing) {
	p := d.Sheet.Paper
	wide, tall := p.Max.X-p.Min.X, p.Max.Y-p.Min.Y
	usual := [2]float64{w.width, w.height}
	lines, mm := w.fitted(d.Lines, wide, tall)
	if mm*scene.UnitsPerMM < roomy {
		w.width, w.height = w.larger[0], w.larger[1]
		defer func() { w.width, w.height = usual[0], usual[1] }()
		lines, mm = w.fitted(d.Lines, wide, tall)
	}
	w.title = d.Title
	w.begin(d.Title)
	at := plot{w.Book, scene.Pt{X: p.Min.X - (filing+(w.room()-wide*mm)/2)/mm, Y: p.Min.Y - w.y/mm}, mm}
	for _, sh := range d.Sheet.Shapes {
		at.shape(sh)
	}
	w.y += tall*mm + 3
	for _, l := range lines {
		w.line(filing, body, l, false, black)
	}
}

// fitted breaks the lines below a drawing, and tells in millimetres how large a unit
// of the drawing may be above them.
func (w *flow) fitted(says []string, wide, tall float64) (lines []string, mm float64) {
	for _, l := range says {
		lines = append(lines, scene.Wrap(l, body, w.room(), false)...)
	}
	room := w.height - footRoom - 2 - topEdge
	below := min(len(lines), int(room/3/(body*leading)))
	high := room - float64(below)*body*leading - 4
	return lines, min(w.room()/wide, high/tall, 1.0/scene.UnitsPerMM)
}

func (w *flow) chapter(c folio.Chapter) {
	w.title = c.Title
	w.begin(c.Title)
	for _, l := range c.Lines {
		w.paragraph(filing, body, l, black)
		w.y += 1
	}
	for i, e := range c.Entries {
		if e.Apart && i > 0 {
			w.begin(e.Title)
		}
		w.entry(e)
	}
	for _, t := range c.Tables {
		if len(t.Rows) > 0 {
			w.table(t, len(c.Tables) > 1)
		}
	}
}

// entry writes a finding or a card. A heading never stands alone at a foot.
func (w *flow) entry(e folio.Entry) {
	letters := body
	if e.Apart { // a page for the door is read from where one stands
		letters *= 1.5
	}
	w.need(5 * letters * leading)
	w.y += 2
	x := filing
	if e.Mark != nil {
		const unit = 1.0 / scene.UnitsPerMM
		for _, sh := range e.Mark.Sample(scene.Pt{X: (filing + 3) / unit, Y: (w.y + 2.6) / unit}, 2.2/unit) {
			plot{w.Book, scene.Pt{}, unit}.shape(sh)
		}
		x += 9
	}
	for _, l := range scene.Wrap(e.Title, letters, w.width-edge-x, true) {
		w.line(x, letters, l, true, black)
	}
	for _, l := range e.Lines {
		switch {
		case l.Figure:
			indent := len(l.Says) - len(strings.TrimLeft(l.Says, " "))
			in := x + 3 + float64(indent)*0.52*letters
			if l.Says == "" {
				w.y += 1.5
				continue
			}
			w.paragraph(in, letters, l.Says, black)
		case !l.Under:
			w.paragraph(x, letters, l.Says, black)
		default:
			w.need(body * leading)
			y := w.y
			w.paragraph(x+22, small, l.Says, black)
			if w.y > y {
				w.text(x, y+small, small, l.About, false, grey, scene.Start, 0)
			}
		}
	}
	w.y += 1.5
}

// table writes a list. Its head stands on every page; columns that find no room
// follow in a second list, beside the first column again.
func (w *flow) table(t lists.Table, titled bool) {
	for first := true; ; first = false {
		g := w.plan(t)
		if titled || !first {
			least := g.high(broken(t.Head[:len(g.wide)], g, true)) + g.high(broken(t.Rows[0][:len(g.wide)], g, false))
			w.need(2*body*leading + 3 + min(least, w.height/2))
			w.y += 2
			title := t.Title
			if !first {
				title += ", further columns"
			}
			w.line(filing, body, title, true, black)
			w.y += 1
		}
		w.rows(t, g)
		w.y += 3
		n := len(g.wide)
		if n >= len(t.Head) {
			return
		}
		rest := lists.Table{Name: t.Name, Title: t.Title, Head: append([]string{t.Head[0]}, t.Head[n:]...)}
		for _, r := range t.Rows {
			rest.Rows = append(rest.Rows, append([]string{r[0]}, r[n:]...))
		}
		t = rest
	}
}

// grid is how a list is set: its letters and the widths of as many of its columns
// as fit beside each other.
type grid struct {
	letters float64
	wide    []float64
}

const pad = 1.1 // at either side of a cell

// plan sets all columns where they fit in legible letters; else it parts them into
// as few lists of about as many columns as do.
func (w *flow) plan(t lists.Table) grid {
	for _, h := range []float64{2.0, small} {
		if wide, ok := fill(t, len(t.Head), h, w.room()); ok {
			return grid{h, wide}
		}
	}
	for parts := 2; parts < len(t.Head); parts++ {
		n := (len(t.Head) - 1 + parts - 1) / parts
		if wide, ok := fill(t, n+1, small, w.room()); ok {
			return grid{small, wide}
		}
	}
	wide, _ := fill(t, min(2, len(t.Head)), small, w.room())
	return grid{small, wide}
}

func (w *flow) rows(t lists.Table, g grid) {
	n := len(g.wide)
	titles := broken(t.Head[:n], g, true)
	for c, lines := range titles {
		titles[c] = lines[:min(mostHead, len(lines))]
	}
	head := func() { w.row(titles, g, true) }
	w.need(4 * g.letters * leading)
	head()
	for _, r := range t.Rows {
		cells := broken(r[:n], g, false)
		if w.left() < g.high(cells) {
			w.begin("")
			head()
		}
		for w.left() < g.high(cells) { // taller than a page: it goes on overleaf
			fits := max(1, int((w.left()-cellRoom)/(g.letters*leading)))
			now := make([][]string, n)
			for c, lines := range cells {
				k := min(fits, len(lines))
				now[c], cells[c] = lines[:k], lines[k:]
			}
			w.row(now, g, false)
			w.begin("")
			head()
		}
		w.row(cells, g, false)
	}
}

// mostHead is how many lines a head takes at most, so that its list finds room.
const mostHead = 8

// cellRoom is what a row is higher than its lines.
const cellRoom = 1.2

// broken are the cells of a row in lines.
func broken(cells []string, g grid, bold bool) [][]string {
	all := make([][]string, len(cells))
	for c, cell := range cells {
		if cell != "" {
			all[c] = cellLines(cell, g, c, bold)
		}
	}
	return all
}

func cellLines(cell string, g grid, c int, bold bool) []string {
	var all []string
	for _, l := range strings.Split(cell, "\n") {
		all = append(all, scene.Wrap(l, g.letters, g.wide[c]-2*pad, bold)...)
	}
	return all
}

// high is how high a row is.
func (g grid) high(cells [][]string) float64 {
	most := 1
	for _, lines := range cells {
		most = max(most, len(lines))
	}
	return float64(most)*g.letters*leading + cellRoom
}

// row writes one row, cell by cell.
func (w *flow) row(cells [][]string, g grid, bold bool) {
	high := g.high(cells)
	x := filing
	w.stroke(rule, 0.18, scene.Solid, 1)
	width := 0.0
	for _, v := range g.wide {
		width += v
	}
	if bold {
		w.filling([3]int{0xec, 0xee, 0xf0})
		w.pdf.Rect(x, w.y, width, high, "F")
	}
	for c, lines := range cells {
		w.pdf.Rect(x, w.y, g.wide[c], high, "D")
		y := w.y + 0.4
		for _, l := range lines {
			y += g.letters * leading
			w.text(x+pad, y-g.letters*(leading-1)*0.5, g.letters, l, bold, black, scene.Start, 0)
		}
		x += g.wide[c]
	}
	w.y += high
}
