// Package bom turns a document into a shopping list: what to buy, what is kept,
// what comes out.
package bom

import (
	"cmp"
	"encoding/csv"
	"fmt"
	"io"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/components/units"
)

// Section parts the list.
type Section string

// The sections.
const (
	Equipment  Section = "equipment"
	Protection Section = "protection"
	Cable      Section = "cable"
	Lugs       Section = "lugs and ferrules"
	Kept       Section = "kept"
	Out        Section = "comes out"
)

var order = []Section{Equipment, Protection, Cable, Lugs, Kept, Out}

// Row is one line of the list. Quantity is NaN where a figure is missing; it is
// printed as "not known".
type Row struct {
	Section     Section
	Quantity    float64
	Unit        string
	Description string
	Rating      string
	For         []components.ID
	Price       float64 // of one; 0 is not given
	Note        string
}

// Waste is what is added to a cable's length for routing and ends (common
// practice, no source).
const Waste = 0.10

// Rows are the lines of the list, in a fixed order.
func Rows(doc *components.Document) []Row {
	l := &list{doc: doc, rows: map[string]*Row{}}
	for _, p := range doc.Parts() {
		l.part(p)
	}
	for _, r := range doc.Runs() {
		l.run(r)
	}
	for _, c := range l.cables {
		l.cable(c)
	}
	rows := make([]Row, 0, len(l.rows))
	for _, r := range l.rows {
		slices.SortFunc(r.For, components.CompareIDs)
		r.For = slices.Compact(r.For)
		rows = append(rows, *r)
	}
	slices.SortFunc(rows, func(a, b Row) int {
		return cmp.Or(cmp.Compare(slices.Index(order, a.Section), slices.Index(order, b.Section)), cmp.Compare(a.Description, b.Description),
			cmp.Compare(a.Rating, b.Rating), cmp.Compare(a.Note, b.Note))
	})
	return rows
}

type list struct {
	doc    *components.Document
	rows   map[string]*Row
	cables map[string]*length
}

// length is a sum of one cable.
type length struct {
	row     Row
	feet    float64
	missing []components.ID
}

func (l *list) add(r Row) {
	key := fmt.Sprint(r.Section, "|", r.Description, "|", r.Rating, "|", r.Unit, "|", r.Note, "|", r.Price)
	if old, ok := l.rows[key]; ok {
		old.Quantity += r.Quantity
		old.For = append(old.For, r.For...)
		return
	}
	l.rows[key] = &r
}

// drawnOnly are kinds that stand on the drawing and are bought nowhere.
func drawnOnly(k *components.Kind) bool {
	return k == &components.Shore || k == &components.Chassis || k == &components.ACLoad || k == &components.DCLoad
}

func (l *list) part(p components.Part) {
	rating := p.Kind.Rating(p.Spec)
	name := p.Kind.Title
	if p.Buy.Description != "" {
		name = p.Buy.Description
	}
	row := Row{Quantity: 1, Unit: "pc", Description: name, Rating: rating, For: []components.ID{p.ID}, Price: p.Buy.Price, Note: strings.TrimSpace(p.Buy.Supplier + " " + p.Buy.PartNo)}
	switch p.Status {
	case components.Existing:
		row.Section = Kept
		l.add(row)
		return
	case components.Remove:
		row.Section = Out
		l.add(row)
		return
	}
	switch {
	case p.Kind == &components.Battery:
		row.Section = Equipment
		row.Quantity = math.Max(1, p.Figure("series").Value) * math.Max(1, p.Figure("parallel").Value)
		row.Rating = fmt.Sprintf("%s, %s V, %s Ah", p.Word("chemistry"), figure(p, "nominal_v"), figure(p, "capacity_ah"))
	case p.Kind == &components.SolarArray:
		row.Section = Equipment
		row.Quantity = p.Figure("series").Value * p.Figure("parallel").Value
		row.Description = "Solar module"
		row.Rating = fmt.Sprintf("Voc %s V, Isc %s A", figure(p, "voc_v"), figure(p, "isc_a"))
	case p.Kind == &components.Fuse:
		row.Section = Protection
		row.Note = strings.TrimSpace(row.Note + " and one spare")
		row.Quantity = 2
		holder := row
		holder.Quantity, holder.Price, holder.Note = 1, 0, ""
		holder.Description, holder.Rating = "Fuse holder", fmt.Sprintf("for %s", rating)
		l.add(holder)
	case p.Kind == &components.ACBreaker, p.Kind == &components.DCBreaker:
		row.Section = Protection
	case drawnOnly(p.Kind):
		return
	default:
		row.Section = Equipment
	}
	l.add(row)
	l.inside(p)
}

func figure(p components.Part, key string) string {
	f := p.Figure(key)
	if !f.Known() {
		return "?"
	}
	return fmt.Sprintf("%.6g", f.Value)
}

// inside lists the breakers and fuses of a panel.
func (l *list) inside(p components.Part) {
	if main := p.Figure("main_a"); p.Kind == &components.Panel && main.Known() {
		poles := 1
		if p.Figure("legs").Value == 2 {
			poles = 2
		}
		l.add(Row{Section: Protection, Quantity: 1, Unit: "pc", Description: "Panel breaker, main", Rating: fmt.Sprintf("%.6g A, %d-pole", main.Value, poles), For: []components.ID{p.ID}})
	}
	for _, c := range p.Spec["circuits"].Rows() {
		switch p.Kind {
		case &components.Panel:
			poles, what := 1, "Panel breaker"
			if c["leg"].Str() == "both" {
				poles = 2
			}
			if c["gfci"].Truth() {
				what += ", ground-fault"
			}
			l.add(Row{Section: Protection, Quantity: 1, Unit: "pc", Description: what, Rating: fmt.Sprintf("%s A, %d-pole", known(c["breaker_a"]), poles), For: []components.ID{p.ID}})
		case &components.DCPanel:
			l.add(Row{Section: Protection, Quantity: 2, Unit: "pc", Description: "Blade fuse", Rating: known(c["fuse_a"]) + " A", For: []components.ID{p.ID}, Note: "and one spare"})
		}
	}
}

func known(v components.Value) string {
	if !v.Known() {
		return "?"
	}
	return v.String()
}

func (l *list) run(r components.Run) {
	cores := l.doc.CoresOf(r)
	cable, ok := r.Cable()
	what := cable.Title
	if !ok {
		what = "cable of a construction not known"
	}
	section := Cable
	switch r.Status {
	case components.Existing:
		section = Kept
	case components.Remove:
		section = Out
	}
	if l.cables == nil {
		l.cables = map[string]*length{}
	}
	sets := math.Max(1, r.Figure("sets").Value)
	put := func(rating, colour string, times float64) {
		key := fmt.Sprint(section, what, rating, colour)
		c := l.cables[key]
		if c == nil {
			note := colour
			c = &length{row: Row{Section: section, Description: what, Rating: rating, Note: note}}
			l.cables[key] = c
		}
		c.row.For = append(c.row.For, r.ID)
		if f := r.Figure("length_ft"); f.Known() {
			c.feet += f.Value * times
		} else {
			c.missing = append(c.missing, r.ID)
		}
	}
	if cable.Multi {
		put(multi(r, cores), r.Spec["color"].Str(), sets)
	} else {
		for _, c := range cores {
			put(sizeText(r, c.From), colourOf(r, c, len(cores)), sets)
		}
	}
	if section == Cable {
		l.lugs(r, cores, cable, sets)
	}
}

func sizeText(r components.Run, p components.Pole) string {
	s, ok := r.Size(p)
	if !ok {
		return "size not known"
	}
	return s.String()
}

// multi is the make-up of a jacketed cable: "10 AWG, 3 cores" or "6 AWG, 3 cores
// and 8 AWG ground".
func multi(r components.Run, cores []components.Core) string {
	size, ground := sizeText(r, components.L), sizeText(r, components.G)
	n, hasGround := 0, false
	for _, c := range cores {
		if c.From == components.G && size != ground {
			hasGround = true
			continue
		}
		n++
	}
	text := fmt.Sprintf("%s, %d cores", size, n)
	if n == 1 {
		text = fmt.Sprintf("%s, 1 core", size)
	}
	if hasGround {
		text += " and " + ground + " ground"
	}
	return text
}

// colourOf is the colour of a single conductor: as told where the run has one
// core, else by its pole (common practice in North America).
func colourOf(r components.Run, c components.Core, n int) string {
	if told := r.Spec["color"].Str(); told != "" && n == 1 {
		return told
	}
	switch c.Role() {
	case components.L1, components.L:
		return "black"
	case components.L2:
		return "red"
	case components.N:
		return "white"
	case components.G:
		return "green"
	case components.Pos:
		return "red"
	}
	return "black"
}

func (l *list) cable(c *length) {
	row := c.row
	row.Unit = "ft"
	feet := c.feet
	if row.Section == Cable {
		feet *= 1 + Waste
	}
	row.Quantity = math.Ceil(feet - 1e-9)
	if l.doc.Units == "metric" {
		row.Unit, row.Quantity = "m", math.Ceil(feet*0.3048-1e-9)
	}
	if len(c.missing) > 0 {
		slices.SortFunc(c.missing, components.CompareIDs)
		ids := make([]string, len(c.missing))
		for i, id := range c.missing {
			ids[i] = string(id)
		}
		miss := "length of " + strings.Join(ids, ", ") + " not known"
		row.Note = strings.Trim(row.Note+"; "+miss, "; ")
		if c.feet == 0 {
			row.Quantity = math.NaN()
		}
	}
	l.rows[fmt.Sprint("cable|", row.Section, row.Description, row.Rating, row.Note)] = &row
}

// lugs lists a lug for each end of a conductor that lands on a stud.
func (l *list) lugs(r components.Run, cores []components.Core, cable components.Construction, sets float64) {
	for i, at := range []components.PortRef{r.From, r.To} {
		p, ok := l.doc.Part(at.Part)
		if !ok {
			continue
		}
		for _, c := range cores {
			pole := c.From
			if i == 1 {
				pole = c.To
			}
			size, known := r.Size(c.From)
			hole := stud(p, pole, size)
			if hole == "" {
				if cable.Table == components.FreeAirDC && pole.DC() {
					l.add(Row{Section: Lugs, Quantity: sets, Unit: "pc", Description: "Ferrule or terminal", Rating: sizeText(r, c.From), For: []components.ID{r.ID}})
				}
				continue
			}
			rating := "size not known"
			if known {
				rating = fmt.Sprintf("%s, %s stud", size, hole)
			}
			l.add(Row{Section: Lugs, Quantity: sets, Unit: "pc", Description: "Tinned copper lug with adhesive heat shrink", Rating: rating, For: []components.ID{r.ID}})
		}
	}
}

// stud is the usual stud of a part, "" where conductors go into a clamp (common
// practice, no source; the device's own drawing decides).
func stud(p components.Part, pole components.Pole, size units.Size) string {
	big := size.Cmil() >= 26240
	switch p.Kind {
	case &components.Battery, &components.DCSwitch, &components.Shunt:
		return "3/8 in"
	case &components.Busbar:
		if big {
			return "3/8 in"
		}
		return "1/4 in"
	case &components.Fuse:
		if big || p.Word("family") == "class-t" {
			return "3/8 in"
		}
		return ""
	case &components.Inverter, &components.InverterCharger, &components.Charger:
		if pole.DC() {
			return "5/16 in"
		}
		return ""
	case &components.Chassis, &components.BondKind:
		return "3/8 in"
	case &components.Alternator:
		return "1/4 in"
	}
	return ""
}

// Write writes the list as CSV. Cells that a spreadsheet would run as a formula
// are made text.
func Write(w io.Writer, doc *components.Document, caution string) error {
	c := csv.NewWriter(w)
	records := [][]string{{"section", "quantity", "unit", "description", "rating", "for", "note", "price each", "price"}}
	total, priced := 0.0, false
	for _, r := range Rows(doc) {
		qty := "not known"
		if !math.IsNaN(r.Quantity) {
			qty = fmt.Sprintf("%.6g", r.Quantity)
		}
		ids := make([]string, len(r.For))
		for i, id := range r.For {
			ids[i] = string(id)
		}
		each, sum := "", ""
		if r.Price > 0 && !math.IsNaN(r.Quantity) {
			each, sum = fmt.Sprintf("%.2f", r.Price), fmt.Sprintf("%.2f", r.Price*r.Quantity)
			if r.Section != Kept && r.Section != Out {
				total, priced = total+r.Price*r.Quantity, true
			}
		}
		records = append(records, []string{string(r.Section), qty, r.Unit, r.Description, r.Rating, strings.Join(ids, " "), r.Note, each, sum})
	}
	if priced {
		records = append(records, []string{"total", "", "", "of the rows with a price", "", "", "", "", fmt.Sprintf("%.2f", total)})
	}
	records = append(records, []string{"about", "", "", doc.Title, "revision " + doc.Rig.Revision, doc.Rig.Date, caution, "", ""})
	for _, rec := range records {
		for i := range rec {
			rec[i] = Safe(rec[i])
		}
		if err := c.Write(rec); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

// Safe makes a cell that begins like a formula into text.
func Safe(cell string) string {
	if cell != "" && strings.ContainsRune("=+-@\t\r", rune(cell[0])) {
		return "'" + cell
	}
	return cell
}
