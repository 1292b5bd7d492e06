package command

import (
	"encoding/json"
	"fmt"
	"math"
	"strings"
	"time"

	"rigline/components"
	"rigline/export/checklist"
	"rigline/export/report"
	"rigline/export/solved"
	"rigline/projects"
)

var readings = &Command{
	Name: "readings", Args: "FILE [ITEM=VALUE ...] [--write]",
	Does:    "The checklist of the rig with blanks for readings, or readings judged: pass, fail, what it means.",
	Example: `readings library.yaml D02/BAT1="53.2 V" B09=0.1 --write --by "the fitter"`,
	Run: func(c *call) (int, error) {
		write := c.Bool("write", false, "keep the readings in the file; the first of an item is its baseline")
		by := c.String("by", "", "who read them")
		date := c.String("date", "", "the day, as 2026-11-25; left out: today's")
		baseline := c.Bool("baseline", false, "the readings are a new baseline")
		given := c.Bool("given", false, "only the items that have a reading")
		words, err := c.parse(1, 10_000, "one file, and ITEM=VALUE for each reading")
		if err != nil {
			return Failed, err
		}
		file, pairs := words[0], words[1:]
		if *write && file == "-" {
			return Failed, usagef("--write needs a file, not standard input")
		}
		doc, _, err := c.load(file)
		if err != nil {
			return Failed, err
		}
		items := checklist.Items(solved.Of(doc))
		day := *date
		if day == "" {
			day = time.Now().Format(time.DateOnly)
		} else if _, err := time.Parse(time.DateOnly, day); err != nil {
			return Failed, usagef("--date %q: want a day, as 2026-11-25", day)
		}
		next, err := record(doc, items, pairs, components.Reading{Date: day, By: *by, Baseline: *baseline})
		if err != nil {
			return Failed, err
		}
		results := checklist.Results(items, next)
		if len(pairs) > 0 {
			results = only(results, pairs)
		} else if *given {
			results = read(results)
		}
		if *write && len(pairs) > 0 {
			if err := projects.Save(file, next); err != nil {
				return Failed, err
			}
		}
		code := Content
		for _, r := range results {
			if r.Judgment.Verdict == checklist.Fail {
				code = Found
			}
		}
		if *c.json {
			return code, c.readingsJSON(doc, file, results)
		}
		if err := checklist.Text(c.stdout, results); err != nil {
			return Failed, err
		}
		for _, r := range checklist.Stale(items, next) {
			fmt.Fprintf(c.stdout, "\n%s: a reading of an item that this drawing has no more: %s %s\n", r.Item, r.Value, r.Unit)
		}
		fmt.Fprintf(c.stdout, "\n%s.\n", checklist.Counts(results))
		return code, nil
	},
}

// record puts readings into the document. The first of an item is its baseline.
func record(doc *components.Document, items []checklist.Item, pairs []string, as components.Reading) (*components.Document, error) {
	var edits []components.Edit
	for _, pair := range pairs {
		key, text, ok := strings.Cut(pair, "=")
		if !ok {
			return nil, usagef("%q: want ITEM=VALUE, as in D02/BAT1=13.2", pair)
		}
		item, ok := checklist.Find(items, key)
		if !ok {
			return nil, usagef("there is no item %q in this rig's checklist%s", key, components.DidYouMean(key, checklist.Keys(items)))
		}
		value, err := checklist.Value(item, text)
		if err != nil {
			return nil, usageError{err}
		}
		r := as
		r.Item, r.Value = key, value
		if item.Expect.Kind != checklist.Check {
			r.Unit = item.Expect.Unit
		}
		if _, before := doc.ReadingOf(key); before == nil {
			r.Baseline = true
		}
		edits = append(edits, components.Record{Reading: r})
	}
	return doc.Apply(edits...)
}

// only are the results of the items that were read just now.
func only(results []checklist.Result, pairs []string) []checklist.Result {
	asked := map[string]bool{}
	for _, p := range pairs {
		key, _, _ := strings.Cut(p, "=")
		asked[key] = true
	}
	var some []checklist.Result
	for _, r := range results {
		if asked[r.Key()] {
			some = append(some, r)
		}
	}
	return some
}

// read are the results that have a reading.
func read(results []checklist.Result) []checklist.Result {
	var some []checklist.Result
	for _, r := range results {
		if r.Reading != nil {
			some = append(some, r)
		}
	}
	return some
}

// itemJSON is one item in JSON; an open side of a band is left out.
type itemJSON struct {
	Item     string   `json:"item"`
	Name     string   `json:"name,omitempty"`
	Phase    string   `json:"phase"`
	Where    string   `json:"where"`
	Do       string   `json:"do"`
	Expected string   `json:"expected"`
	Figure   *float64 `json:"figure,omitempty"`
	Lo       *float64 `json:"lo,omitempty"`
	Hi       *float64 `json:"hi,omitempty"`
	Unit     string   `json:"unit,omitempty"`
	Working  []string `json:"working,omitempty"`
	Reading  string   `json:"reading,omitempty"`
	Baseline string   `json:"baseline,omitempty"`
	Result   string   `json:"result"`
	Means    string   `json:"means,omitempty"`
}

func (c *call) readingsJSON(doc *components.Document, file string, results []checklist.Result) error {
	list := []itemJSON{}
	number := func(v float64, ok bool) *float64 {
		if !ok || math.IsInf(v, 0) || math.IsNaN(v) {
			return nil
		}
		return &v
	}
	for _, r := range results {
		x := itemJSON{Item: r.Key(), Name: r.Name, Phase: r.Phase.Title, Where: r.Points, Do: r.Do, Expected: r.Expect.String(), Unit: r.Expect.Unit, Working: r.Expect.Working,
			Figure: number(r.Expect.Figure, r.Expect.HasFigure), Lo: number(r.Expect.Lo, r.Expect.Kind == checklist.Band), Hi: number(r.Expect.Hi, r.Expect.Kind == checklist.Band),
			Result: r.Judgment.Verdict.String(), Means: r.Judgment.Means}
		if r.Reading != nil {
			x.Reading = r.Reading.Value
		}
		if r.Baseline != nil {
			x.Baseline = r.Baseline.Value
		}
		list = append(list, x)
	}
	e := json.NewEncoder(c.stdout)
	e.SetIndent("", "  ")
	return e.Encode(map[string]any{"format": report.Format, "file": file, "project": report.ProjectOf(doc), "items": list})
}
