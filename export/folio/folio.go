// Package folio gathers a hand-off as a reader meets it: the drawings, then the
// lists, findings and cards in chapters. PDF and page are written from it, so they
// say the same.
package folio

import (
	"fmt"
	"slices"
	"strings"
	"sync"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/cards"
	"rigline/export/checklist"
	"rigline/export/lists"
	"rigline/export/report"
	"rigline/export/scene"
	"rigline/export/schedule"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules"
)

// Folio is a whole hand-off.
type Folio struct {
	About    lists.About
	Outcome  string // "2 findings to settle"
	Sheets   []Drawing
	States   []Drawing
	Marked   []Drawing
	Chapters []Chapter
}

// Drawn are all drawings: the sheets, the states, the marked sheets.
func (f *Folio) Drawn() []*scene.Sheet {
	var all []*scene.Sheet
	for _, d := range slices.Concat(f.Sheets, f.States, f.Marked) {
		all = append(all, d.Sheet)
	}
	return all
}

// Drawing is a drawing with its words.
type Drawing struct {
	Name  string // for a file and an anchor: "sheet", "state-2"
	Title string
	Lines []string // said beside it
	Sheet *scene.Sheet
}

// Chapter is a part of the hand-off under a title of its own.
type Chapter struct {
	Name    string // for an anchor
	Title   string
	Lines   []string
	Entries []Entry
	Tables  []lists.Table
}

// Entry is a heading with lines under it.
type Entry struct {
	Mark  *scene.Mark // of a finding, else nil
	Title string
	Apart bool // begins a page of its own
	Lines []Line
}

// Line is one line of an entry: what it is about, and what it says. A figure line
// is arithmetic or a row of a card and keeps its blanks; one under a label stands
// beside what it is about, or below the one before.
type Line struct {
	About, Says   string
	Figure, Under bool
}

// Input is what a hand-off is made of.
type Input struct {
	Doc      *components.Document
	Report   *rules.Report
	Findings report.Document
	Rig      *solved.Rig
	Cards    []cards.Card
	About    lists.About
	Checked  []checklist.Result
}

// Of gathers a hand-off.
func Of(in Input) *Folio {
	f := &Folio{About: in.About, Outcome: in.Findings.Readiness}
	var drawn sync.WaitGroup
	drawn.Go(func() {
		plan := scene.NewPlan(in.Doc)
		drawn.Go(func() { f.Sheets = sheets(in, plan) })
		drawn.Go(func() { f.Marked = marked(in, plan) })
		drawn.Go(func() { f.States = stateDrawings(in, plan) })
	})
	f.Chapters = chapters(in)
	drawn.Wait()
	f.say(terms.Of(in.Doc))
	return f
}

// chapters gathers the lists, those that say anything.
func chapters(in Input) []Chapter {
	all := []Chapter{
		Chapter{Name: "states", Title: "What is alive in each state", Tables: []lists.Table{StateTable(in.Rig)}},
		findings(in.Findings),
		narrowed("conductors", "Conductor schedule", schedule.RunsTable(in.Rig)).explained(in.Rig),
		narrowed("devices", "Fuses and breakers", schedule.DevicesTable(in.Rig)).explained(in.Rig),
		narrowed("panels", "Panel directories", schedule.PanelsTable(in.Rig)).explained(in.Rig),
		Materials("materials", "Bill of materials", bom.Rows(in.Doc)),
		tables("removal", "What comes out", schedule.RemovalTable(in.Rig)),
		tables("torque", "Torques", schedule.TorqueTable(in.Rig)),
		tables("settings", "Settings", schedule.SettingsTable(in.Rig, in.Cards)),
		tables("isolation", "Order of isolation", schedule.IsolationTable(in.Rig)),
		checks(in.Checked),
		tables("photos", "Pictures to take before covers go on", schedule.PhotosTable(in.Rig)),
		tables("out-of-order", "When the inverter is out of order", schedule.OutOfOrderTable(in.Rig)),
		siteCards(in.Cards, in.About.Open),
		day(in.Doc),
		tables("labels", "Labels to print", schedule.LabelsTable(in.Rig)),
	}
	return slices.DeleteFunc(all, Chapter.empty)
}

func (c Chapter) empty() bool {
	for _, t := range c.Tables {
		if len(t.Rows) > 0 {
			return false
		}
	}
	return len(c.Entries) == 0 && len(c.Lines) == 0
}

func tables(name, title string, all ...lists.Table) Chapter {
	return Chapter{Name: name, Title: title, Tables: all}
}

func meta(in Input, subtitle string) scene.Meta {
	return scene.Meta{Sheet: 1, Of: 1, Rules: in.About.Rules, Subtitle: subtitle, Notes: terms.Of(in.Doc).All(notes(in))}
}

func sheets(in Input, plan *scene.Plan) []Drawing {
	return drawings("sheet", "Single-line diagram", plan.Sheets(scene.Options{Frame: true, Meta: meta(in, "")}))
}

func marked(in Input, plan *scene.Plan) []Drawing {
	return drawings("marked", "Findings marked", plan.Sheets(scene.Options{Frame: true, Meta: meta(in, "Findings marked"), Marks: said(Marks(in.Report), terms.Of(in.Doc)), List: true}))
}

// drawings names the sheets of a drawing, by their numbers where there are several.
func drawings(name, title string, sheets []*scene.Sheet) []Drawing {
	var all []Drawing
	for i, s := range sheets {
		d := Drawing{Name: name, Title: title, Sheet: s}
		if len(sheets) > 1 {
			d.Name = fmt.Sprintf("%s-%d", name, i+1)
			d.Title = fmt.Sprintf("%s, sheet %d of %d", title, i+1, len(sheets))
		}
		all = append(all, d)
	}
	return all
}

var markLevels = map[rules.Level]scene.Level{rules.Danger: scene.DangerMark, rules.Violation: scene.ViolationMark, rules.Advice: scene.AdviceMark}

// Marks number the findings in the order of the list. One that was accepted says
// so, with its reason.
func Marks(r *rules.Report) []scene.Mark {
	var all []scene.Mark
	for i, f := range r.Findings {
		level := f.Level.String() // in words too: a small mark in grey does not tell it
		m := scene.Mark{Address: f.At, Level: markLevels[f.Level], Number: i + 1, Text: strings.ToUpper(level[:1]) + level[1:] + ": " + f.Message}
		if f.Accepted != nil {
			m.Text = "Accepted (" + f.Accepted.Reason + "): " + f.Message
		}
		all = append(all, m)
	}
	return all
}
