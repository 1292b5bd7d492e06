package checklist

import (
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/export/lists"
)

// Result is an item with its latest reading and what that comes to.
type Result struct {
	Item
	Reading, Baseline *components.Reading
	Judgment          Judgment
}

// Results hold the readings of a project against its items. A reading that is no
// answer to its item counts as not read, and says why.
func Results(all []Item, doc *components.Document) []Result {
	results := make([]Result, len(all))
	for i, item := range all {
		r := Result{Item: item}
		r.Reading, r.Baseline = doc.ReadingOf(item.Key())
		if r.Reading != nil {
			text := r.Reading.Value
			if r.Reading.Unit != "" && item.Expect.Kind != Check {
				text += " " + r.Reading.Unit
			}
			j, err := Judge(item, text)
			if err != nil {
				j = Judgment{Says: err.Error()}
			}
			r.Judgment = j
		}
		results[i] = r
	}
	return results
}

// Stop is the first phase that holds a failed reading: no item of a later one is
// to be done before it is put right. ok is false where none failed.
func Stop(results []Result) (phase Phase, ok bool) {
	for _, r := range results {
		if r.Judgment.Verdict == Fail {
			return r.Phase, true
		}
	}
	return Phase{}, false
}

// Table is the checklist as a table, with blanks where nothing has been read.
func Table(results []Result) lists.Table {
	t := lists.Table{Name: "checklist", Title: "Checklist", Head: []string{"phase", "item", "place", "meter", "where", "do", "expected", "by the drawing", "unit", "how it was found",
		"reading", "result", "baseline", "date", "by", "if wrong", "caution", "basis", "note"}}
	for _, r := range results {
		figure := ""
		if r.Expect.HasFigure {
			figure = plain(math.Round(r.Expect.Figure*r.Expect.perUnit()) / r.Expect.perUnit())
		}
		var reading, baseline, date, by, note, result string
		if r.Reading != nil {
			reading, date, by, note, result = r.Reading.Value, r.Reading.Date, r.Reading.By, r.Reading.Note, r.Judgment.Verdict.String()
			if r.Judgment.Verdict == Unread {
				result += ": " + r.Judgment.Says
			}
		}
		if r.Baseline != nil {
			baseline = r.Baseline.Value
		}
		t.Add(r.Phase.Title, r.Key(), r.Name, r.Meter, r.Points, r.Do, r.Expect.Written(), figure, r.Expect.Unit, strings.Join(r.Expect.Working, "; "),
			reading, result, baseline, date, by, r.Wrong, r.Caution, r.Basis, note)
	}
	return t
}

// Text writes the checklist for people, phase by phase, with a blank for each
// reading that is missing. What is alike for all places of an item stands once.
func Text(w io.Writer, results []Result) error {
	var b strings.Builder
	phase := ""
	var head Result
	for _, r := range results {
		if r.Phase.ID != phase {
			phase = r.Phase.ID
			fmt.Fprintf(&b, "\n%s\n%s\n", r.Phase.Title, strings.Repeat("=", len([]rune(r.Phase.Title))))
		}
		if r.ID != head.ID {
			head = r
			fmt.Fprintf(&b, "\n%s  %s: %s\n", r.ID, r.Meter, oneLine(r.Points))
			fmt.Fprintf(&b, "    %s\n", oneLine(r.Do))
			if r.Caution != "" {
				fmt.Fprintf(&b, "    Caution: %s\n", r.Caution)
			}
			fmt.Fprintf(&b, "    If wrong: %s\n", r.Wrong)
		}
		r.line(&b, head)
	}
	if p, stopped := Stop(results); stopped {
		fmt.Fprintf(&b, "\nA reading of \"%s\" failed. Put it right before anything of a later stage is done.\n", p.Title)
	}
	_, err := io.WriteString(w, lists.Plain(strings.TrimPrefix(b.String(), "\n")))
	return err
}

// line is one place of an item: what differs from the item's head, what is
// expected, and the reading or its blank.
func (r Result) line(b *strings.Builder, head Result) {
	where := r.Key()
	if r.Name != "" {
		where += " " + oneLine(r.Name)
	}
	fmt.Fprintf(b, "  [%s] %s\n      expected: %s\n", where, r.answer(), oneLine(r.Expect.Written()))
	if r.Points != head.Points {
		fmt.Fprintf(b, "      %s\n", oneLine(r.Points))
	}
	if r.Do != head.Do {
		fmt.Fprintf(b, "      %s\n", oneLine(r.Do))
	}
	for _, line := range r.Expect.Working {
		fmt.Fprintf(b, "      %s\n", oneLine(line))
	}
	if r.Judgment.Means != "" {
		fmt.Fprintf(b, "      means: %s\n", r.Judgment.Means)
	}
}

// answer is the reading with its result, or a blank.
func (r Result) answer() string {
	if r.Reading == nil {
		unit := r.Expect.Unit
		if r.Expect.Kind == Check {
			return "yes __  no __"
		}
		return strings.TrimSpace("__________ " + unit)
	}
	text := fmt.Sprintf("%s: %s", r.Judgment.Says, r.Judgment.Verdict)
	if against := Against(r.Reading, r.Baseline); against != "" {
		text += "; " + against
	}
	if r.Reading.Date != "" {
		text += ", " + oneLine(r.Reading.Date)
	}
	if r.Reading.By != "" {
		text += ", " + oneLine(r.Reading.By)
	}
	return oneLine(text)
}

func oneLine(s string) string { return strings.Join(strings.Fields(lists.Plain(s)), " ") }

// Counts tells how many items came to what: "86 items: 3 pass, 1 fail, 82 not read".
func Counts(results []Result) string {
	n := map[Verdict]int{}
	for _, r := range results {
		n[r.Judgment.Verdict]++
	}
	parts := []string{}
	for _, v := range []Verdict{Fail, Warn, Pass, Kept, Unread} {
		if n[v] > 0 {
			parts = append(parts, strconv.Itoa(n[v])+" "+v.String())
		}
	}
	items := "items"
	if len(results) == 1 {
		items = "item"
	}
	return fmt.Sprintf("%d %s: %s", len(results), items, strings.Join(parts, ", "))
}
