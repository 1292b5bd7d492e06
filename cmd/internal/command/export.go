package command

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"strings"
	"sync"

	"rigline/assets"
	"rigline/components"
	"rigline/export/bom"
	"rigline/export/cards"
	"rigline/export/checklist"
	"rigline/export/folio"
	"rigline/export/html"
	"rigline/export/lists"
	"rigline/export/pdf"
	"rigline/export/report"
	"rigline/export/schedule"
	"rigline/export/solved"
	"rigline/export/states"
	"rigline/export/svg"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

var export = &Command{
	Name: "export", Args: "FILE --out DIR",
	Does:    "The hand-off: drawing as SVG and PDF, marked drawing, shopping list, findings, states.",
	Example: "export kitchen.yaml --out handoff",
	Run: func(c *call) (int, error) {
		out := c.String("out", "", "the folder to write; an older hand-off there is replaced")
		files, err := c.parse(1, 1, "one file")
		if err != nil {
			return Failed, err
		}
		if *out == "" {
			return Failed, usagef("--out is missing: want the folder to write")
		}
		doc, index, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		name := strings.TrimSuffix(filepath.Base(files[0]), filepath.Ext(files[0]))
		if files[0] == "-" {
			name = "rig"
		}
		c.progress("")("checking " + files[0])
		r, err := rules.Check(context.Background(), doc, checks.All)
		if err != nil {
			return Failed, err
		}
		sheets, err := handOff(doc, r, name, report.Of(r, filepath.Base(files[0]), index), c.progress("made"))
		if err != nil {
			return Failed, err
		}
		if err := writeFolder(*out, sheets); err != nil {
			return Failed, err
		}
		if *c.json {
			names := make([]string, len(sheets))
			for i, s := range sheets {
				names[i] = s.name
			}
			return Content, json.NewEncoder(c.stdout).Encode(map[string]any{"format": report.Format, "folder": *out, "files": names, "readiness": r.Readiness()})
		}
		fmt.Fprintf(c.stdout, "%s: %d files. %s.\n", *out, len(sheets), r.Readiness())
		return Content, nil
	},
}

// sheet is one file of the hand-off.
type sheet struct {
	name string
	data []byte
}

// step makes one file.
type step struct {
	file  string
	apart bool // reads what is drawn already and nothing of the solved rig, so that it may be written beside the rest
	write func(io.Writer) error
}

// handOff makes every file before any is written. It calls done, from several
// goroutines, with the name of each file made.
func handOff(doc *components.Document, r *rules.Report, name string, d report.Document, done func(string)) ([]sheet, error) {
	rig := solved.Of(doc)
	sites := cards.Of(doc)
	about := aboutOf(d, r)
	d.Cautions = about.Cautions
	checked := checklist.Results(checklist.Items(rig, sites...), doc)
	whole := folio.Of(folio.Input{Doc: doc, Report: r, Findings: d, Rig: rig, Cards: sites, About: about, Checked: checked})
	set := svg.NewSet(whole.Drawn())
	bomAbout := []string{"rule set " + about.Rules}
	if about.Open != "" {
		bomAbout = append(bomAbout, about.Open+": see the findings")
	}
	bomAbout = append(bomAbout, about.Cautions...)
	steps := []step{
		{name + ".pdf", true, func(w io.Writer) error {
			book := pdf.New(about)
			book.Folio(whole, doc.Units == "metric")
			return book.Write(w)
		}},
		{"report.html", true, func(w io.Writer) error { return html.WriteWith(w, whole, set) }},
		{"bom.csv", false, func(w io.Writer) error { return bom.Write(w, doc, bomAbout...) }},
		{"bom.xlsx", false, func(w io.Writer) error { return bom.WriteXLSX(w, doc, bomAbout...) }},
		{"runs.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.RunsTable(rig), about) }},
		{"devices.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.DevicesTable(rig), about) }},
		{"panels.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.PanelsTable(rig), about) }},
		{"torque.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.TorqueTable(rig), about) }},
		{"settings.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.SettingsTable(rig, sites), about) }},
		{"labels.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.LabelsTable(rig), about) }},
		{"isolation.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.IsolationTable(rig), about) }},
		{"photos.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.PhotosTable(rig), about) }},
		{"out-of-order.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.OutOfOrderTable(rig), about) }},
		{"removal.csv", false, func(w io.Writer) error { return lists.CSV(w, schedule.RemovalTable(rig), about) }},
		{"checklist.csv", false, func(w io.Writer) error { return lists.CSV(w, checklist.Table(checked), about) }},
		{"accepted.csv", false, func(w io.Writer) error { return lists.CSV(w, report.AcceptedTable(d), about) }},
		{"checklist.txt", false, func(w io.Writer) error {
			if _, err := fmt.Fprintf(w, "%s\n\n%s\n\n", lists.Plain(strings.Join(nonempty(d.Project.String(), about.Open), "\n")), strings.TrimSpace(assets.Cautions)); err != nil {
				return err
			}
			return checklist.Text(w, checked)
		}},
		{"cards.txt", false, func(w io.Writer) error { return cards.Text(w, sites, about) }},
		{"findings.txt", false, func(w io.Writer) error {
			if _, err := fmt.Fprintf(w, "%s\n\n%s\n", lists.Plain(d.Project.String()), assets.Cautions); err != nil {
				return err
			}
			return report.Text(w, d)
		}},
		{"findings.json", false, func(w io.Writer) error { return report.JSON(w, d) }},
		{"states.txt", false, func(w io.Writer) error {
			if _, err := fmt.Fprintf(w, "%s\n\n%s\n%s\n\n", lists.Plain(strings.Join(nonempty(d.Project.String(), about.Open), "\n")), assets.Cautions, report.Caution); err != nil {
				return err
			}
			return states.Write(w, states.Told(d.File, rig.Solutions()))
		}},
		{name + ".yaml", false, func(w io.Writer) error {
			_, err := w.Write(cautioned(projects.Write(doc), about.Rules, about.Cautions))
			return err
		}},
	}
	drawings := steps[:0:0]
	for _, group := range []struct {
		name string
		all  []folio.Drawing
	}{{name, whole.Sheets}, {name + "-marked", whole.Marked}} {
		for i, d := range group.all {
			file := group.name
			if i > 0 {
				file += fmt.Sprintf("-%d", i+1)
			}
			drawings = append(drawings, step{file + ".svg", true, func(w io.Writer) error { return set.Write(w, d.Sheet) }})
		}
	}
	steps = append(drawings, steps...)
	all := make([]sheet, len(steps))
	faults := make([]error, len(steps))
	var wait sync.WaitGroup
	work := func(i int) {
		var b bytes.Buffer
		if err := steps[i].write(&b); err != nil {
			faults[i] = fmt.Errorf("%s: %w", steps[i].file, err)
		}
		all[i] = sheet{steps[i].file, b.Bytes()}
		done(steps[i].file)
	}
	for i, s := range steps {
		if s.apart {
			wait.Go(func() { work(i) })
		}
	}
	for i, s := range steps {
		if !s.apart {
			work(i)
		}
	}
	wait.Wait()
	return all, errors.Join(faults...)
}

// aboutOf is what every list of a hand-off says it belongs to.
func aboutOf(d report.Document, r *rules.Report) lists.About {
	about := lists.About{Title: d.Project.Title, Revision: d.Project.Revision, Date: d.Project.Date, Rules: d.Project.Rules,
		Cautions: strings.Split(strings.TrimSpace(assets.Cautions), "\n")}
	if n := r.Counts(); n.Danger > 0 || n.Violation > 0 {
		about.Open = r.Readiness()
	}
	return about
}

// progress tells what has been done on standard error, where that is a terminal,
// and nothing elsewhere. It may be called from several goroutines.
func (c *call) progress(what string) func(string) {
	f, ok := c.stderr.(*os.File)
	if !ok {
		return func(string) {}
	}
	if info, err := f.Stat(); err != nil || info.Mode()&os.ModeCharDevice == 0 {
		return func(string) {}
	}
	var mu sync.Mutex
	return func(name string) {
		mu.Lock()
		defer mu.Unlock()
		fmt.Fprintln(f, strings.TrimSpace(what+" "+name))
	}
}
