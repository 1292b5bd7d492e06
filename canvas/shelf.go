package canvas

import (
	"image"
	"strings"

	"fyne.io/fyne/v2"
	fynecanvas "fyne.io/fyne/v2/canvas"
	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/driver/desktop"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/export/scene"
)

// shelf is the parts shelf: every kind, by group, with a search box.
type shelf struct {
	e      *Editor
	search *widget.Entry
	list   *fyne.Container
	roll   *container.Scroll
	help   *widget.Label
	items  []*shelfItem
	held   bool   // a part is in the hand
	basis  string // the rule set whose words it speaks
	box    fyne.CanvasObject
}

func newShelf(e *Editor) *shelf {
	s := &shelf{e: e, list: container.NewVBox(), search: widget.NewEntry(), help: widget.NewLabel("")}
	s.search.SetPlaceHolder("Search the parts")
	s.search.OnChanged = func(string) { s.fill() }
	s.search.OnSubmitted = func(string) {
		if len(s.items) > 0 {
			s.items[0].Tapped(nil)
			e.win.Canvas().Focus(e.board)
		}
	}
	s.help.Wrapping = fyne.TextWrapWord
	s.help.Importance = widget.LowImportance
	s.help.SizeName = theme.SizeNameCaptionText
	s.fill()
	foot := container.New(&tall{58}, s.help)
	roll, box := rolled(s.list)
	s.roll = roll
	s.box = container.NewBorder(s.search, container.NewBorder(widget.NewSeparator(), nil, nil, nil, foot), nil, nil, box)
	return s
}

// fill lists the kinds that the search finds: by group, and those that only speak
// of the words after those that are called so.
func (s *shelf) fill() {
	s.list.RemoveAll()
	s.items = nil
	words := strings.Fields(strings.ToLower(s.search.Text))
	for _, g := range components.Groups {
		s.section(string(g), func(k *components.Kind) bool { return k.Group == g && holds(s.called(k), words) })
	}
	if len(words) > 0 {
		s.section("Also called so", func(k *components.Kind) bool { return !holds(s.called(k), words) && holds(calledSo(k), words) })
		s.section("Speak of it", func(k *components.Kind) bool {
			return !holds(calledSo(k), words) && holds(calledSo(k)+" "+string(k.Group)+" "+k.Help, words)
		})
	}
	if len(s.items) == 0 {
		s.list.Add(widget.NewLabel("No part of that name"))
	}
}

// called is by what a kind is found first.
func (s *shelf) called(k *components.Kind) string {
	return k.Title + " " + s.e.s.Say(k.Title) + " " + k.ID
}

func (s *shelf) section(title string, in func(*components.Kind) bool) {
	first := true
	for _, k := range components.Catalog {
		if !in(k) {
			continue
		}
		if first {
			head := newText(title, theme.ColorNamePlaceHolder)
			head.bold = true
			s.list.Add(container.NewPadded(head))
			first = false
		}
		item := newShelfItem(s, k)
		s.items = append(s.items, item)
		s.list.Add(item)
	}
}

// otherNames are what people call a kind besides its title; the search finds it by
// them.
var otherNames = map[string]string{
	"shore":            "shore power pedestal hookup site outlet",
	"inlet":            "plug socket power inlet",
	"surge-protector":  "surge EMS",
	"transfer-switch":  "ATS changeover",
	"ac-breaker":       "circuit breaker MCB RCBO",
	"panel":            "load center breaker box AC distribution consumer unit",
	"splice":           "junction splice wire nut connection box",
	"inverter-charger": "combi",
	"charger":          "converter battery charger",
	"dc-converter":     "step-down buck 24 to 12",
	"battery":          "bank lithium AGM LFP",
	"dc-switch":        "battery switch isolator disconnect split charge relay",
	"busbar":           "busbar distribution stud",
	"shunt":            "battery monitor",
	"dc-panel":         "fuse box blade DC panel",
	"solar-array":      "solar panel module PV photovoltaic",
	"solar-controller": "charge controller regulator MPPT PV",
	"dc-charger":       "B2B battery to battery alternator charger",
	"receptacle":       "outlet socket GFCI",
	"ac-load":          "appliance air conditioner microwave refrigerator water heater",
	"dc-load":          "lights pump fan refrigerator 12 V appliance",
	"bond":             "bonding jumper negative neutral to chassis frame ground earth",
	"chassis":          "frame ground earth stud",
}

func calledSo(k *components.Kind) string { return k.Title + " " + k.ID + " " + otherNames[k.ID] }

// putDown shows the whole shelf again once what was searched for is on the sheet.
func (s *shelf) putDown() {
	if s.search.Text != "" {
		s.search.SetText("")
	}
}

// holds tells whether every word is in the text.
func holds(text string, words []string) bool {
	text = strings.ToLower(text)
	for _, w := range words {
		if !strings.Contains(text, w) {
			return false
		}
	}
	return true
}

// refresh shows which kind is in the hand.
func (s *shelf) refresh() {
	if basis := s.e.s.Doc().Basis; basis != s.basis {
		s.basis = basis
		s.fill()
	}
	t, _ := s.e.s.Tool().(*session.Place)
	if s.held && t == nil {
		s.putDown()
	}
	s.held = t != nil
	for _, it := range s.items {
		on := t != nil && t.Kind == it.kind
		if on != it.on {
			it.on = on
			it.Refresh()
		}
	}
}

// shelfItem is one kind on the shelf: click it and then the sheet, or drag it there.
type shelfItem struct {
	widget.BaseWidget
	shelf    *shelf
	kind     *components.Kind
	on, over bool
	last     fyne.Position
	dragging bool
}

func newShelfItem(s *shelf, k *components.Kind) *shelfItem {
	it := &shelfItem{shelf: s, kind: k}
	it.ExtendBaseWidget(it)
	return it
}

// Tapped takes the kind in the hand, or puts it back.
func (it *shelfItem) Tapped(*fyne.PointEvent) {
	s := it.shelf.e.s
	if t, ok := s.Tool().(*session.Place); ok && t.Kind == it.kind {
		s.Take(&session.Hand{})
		return
	}
	s.Take(session.NewPlace(it.kind))
	s.Tell(session.Plain, "Click on the sheet to place it; with shift, several. Escape puts it back")
}

// Dragged carries the kind over the sheet.
func (it *shelfItem) Dragged(ev *fyne.DragEvent) {
	e := it.shelf.e
	if !it.dragging {
		it.dragging = true
		e.s.Take(session.NewPlace(it.kind))
	}
	it.last = ev.AbsolutePosition
	if at, ok := e.onBoard(it.last); ok {
		e.s.Hover(e.board.pointer(at))
	} else {
		e.s.Tool().Cancel(e.s)
		e.board.Refresh()
	}
}

// DragEnd puts it down where it is over the sheet.
func (it *shelfItem) DragEnd() {
	e := it.shelf.e
	it.dragging = false
	at, ok := e.onBoard(it.last)
	if !ok {
		e.s.Take(&session.Hand{})
		return
	}
	p := e.board.pointer(at)
	p.Shift = false
	e.s.Release(p)
	e.win.Canvas().Focus(e.board)
}

// MouseIn tells what the kind is.
func (it *shelfItem) MouseIn(*desktop.MouseEvent) {
	it.over = true
	it.shelf.help.SetText(it.shelf.e.s.Say(it.kind.Title + ". " + it.kind.Help))
	it.Refresh()
}

// MouseMoved does nothing.
func (it *shelfItem) MouseMoved(*desktop.MouseEvent) {}

// MouseOut takes the help away.
func (it *shelfItem) MouseOut() {
	it.over = false
	it.shelf.help.SetText("")
	it.Refresh()
}

// inSight tells whether any of the row is in the window.
func (it *shelfItem) inSight() bool {
	roll := it.shelf.roll
	if roll == nil || roll.Size().IsZero() {
		return true
	}
	y := it.Position().Y - roll.Offset.Y
	return y+it.Size().Height > 0 && y < roll.Size().Height
}

// CreateRenderer shows the symbol and the name.
func (it *shelfItem) CreateRenderer() fyne.WidgetRenderer {
	r := &shelfItemRenderer{it: it}
	r.back = fynecanvas.NewRectangle(theme.Color(theme.ColorNameHover))
	r.picture = fynecanvas.NewRaster(func(w, h int) image.Image { return symbolPicture(it.kind, w, h) })
	r.name = fynecanvas.NewText(it.shelf.e.s.Say(it.kind.Title), theme.Color(theme.ColorNameForeground))
	r.Refresh()
	return r
}

type shelfItemRenderer struct {
	it      *shelfItem
	back    *fynecanvas.Rectangle
	picture *fynecanvas.Raster
	name    *fynecanvas.Text
}

const shelfRow = 30

func (r *shelfItemRenderer) Layout(size fyne.Size) {
	r.back.Resize(size)
	r.picture.Move(fyne.NewPos(4, 2))
	r.picture.Resize(fyne.NewSize(40, shelfRow-4))
	r.name.Move(fyne.NewPos(52, (shelfRow-r.name.MinSize().Height)/2))
	r.name.Resize(r.name.MinSize())
}

func (r *shelfItemRenderer) MinSize() fyne.Size {
	return fyne.NewSize(56+r.name.MinSize().Width, shelfRow)
}

func (r *shelfItemRenderer) Refresh() {
	r.name.Color = theme.Color(theme.ColorNameForeground)
	r.name.TextSize = theme.Size(theme.SizeNameText)
	r.back.FillColor = theme.Color(theme.ColorNameHover)
	r.back.StrokeWidth = 0
	if r.it.on {
		r.back.FillColor = theme.Color(theme.ColorNameSelection)
		r.back.StrokeWidth, r.back.StrokeColor = 1, theme.Color(theme.ColorNamePrimary)
	}
	r.back.Hidden = !r.it.on && !r.it.over
	r.back.Refresh()
	r.name.Refresh()
	fynecanvas.Refresh(r.picture)
}

// Objects are none while the row is rolled out of sight: the toolkit would draw them
// for every picture all the same.
func (r *shelfItemRenderer) Objects() []fyne.CanvasObject {
	if !r.it.inSight() {
		return nil
	}
	return []fyne.CanvasObject{r.back, r.picture, r.name}
}

func (r *shelfItemRenderer) Destroy() {}

// symbolPicture draws a kind's symbol into a small picture.
func symbolPicture(k *components.Kind, w, h int) image.Image {
	img := image.NewRGBA(image.Rect(0, 0, max(w, 1), max(h, 1)))
	part := session.NewPart(components.NewDocument(""), k)
	doc, err := components.NewDocument("").Apply(components.AddPart{Part: part})
	if err != nil {
		return img
	}
	var shapes []scene.Shape
	box := scene.Box{Min: scene.Pt{X: 1e9, Y: 1e9}, Max: scene.Pt{X: -1e9, Y: -1e9}}
	for _, sh := range scene.Draw(doc, scene.Options{}).Shapes {
		if sh.Layer != scene.PartLayer {
			continue
		}
		b := sh.Box()
		box.Min.X, box.Min.Y = min(box.Min.X, b.Min.X), min(box.Min.Y, b.Min.Y)
		box.Max.X, box.Max.Y = max(box.Max.X, b.Max.X), max(box.Max.Y, b.Max.Y)
		shapes = append(shapes, sh)
	}
	bw, bh := box.Max.X-box.Min.X+2, box.Max.Y-box.Min.Y+2
	zoom := min(float64(w)/bw, float64(h)/bh, 0.6*float64(h)/26)
	p := newPainter(img, scene.Pt{X: (box.Min.X+box.Max.X)/2 - float64(w)/2/zoom, Y: (box.Min.Y+box.Max.Y)/2 - float64(h)/2/zoom}, zoom, sheetColours())
	for _, sh := range shapes {
		p.shape(sh)
	}
	return img
}

// tall gives one object a fixed height and no least width.
type tall struct{ h float32 }

func (t *tall) MinSize([]fyne.CanvasObject) fyne.Size { return fyne.NewSize(0, t.h) }
func (t *tall) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, o := range objects {
		o.Resize(size)
		o.Move(fyne.NewPos(0, 0))
	}
}

// wide gives one object a fixed width.
type wide struct{ w float32 }

func (t *wide) MinSize(objects []fyne.CanvasObject) fyne.Size {
	return fyne.NewSize(t.w, objects[0].MinSize().Height)
}
func (t *wide) Layout(objects []fyne.CanvasObject, size fyne.Size) {
	for _, o := range objects {
		o.Resize(size)
		o.Move(fyne.NewPos(0, 0))
	}
}
