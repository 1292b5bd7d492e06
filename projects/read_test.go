package projects

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// readWell reads a project that must have no fault.
func readWell(t testing.TB, data string) *components.Document {
	t.Helper()
	doc, _, err := Read("rig.yaml", []byte(data))
	require.NoError(t, err)
	return doc
}

// faults reads a project and gives what is wrong with it, a line a fault.
func faults(t *testing.T, data string) string {
	t.Helper()
	doc, index, err := Read("rig.yaml", []byte(data))
	require.Error(t, err)
	assert.Nil(t, doc)
	assert.Nil(t, index)
	return err.Error()
}

const (
	head    = "format: rigline/1\n"
	twoFuse = head + "parts:\n  - {id: F1, kind: fuse, spec: {family: anl, rating_a: 100}}\n  - {id: F2, kind: fuse, spec: {family: anl, rating_a: 100}}\n"
)

func TestWhatTheCanonicalFileSays(t *testing.T) {
	data, err := os.ReadFile("testdata/canonical.yaml")
	require.NoError(t, err)
	doc := readWell(t, string(data))
	assert.Equal(t, components.Rig{About: "24 ft trailer", DrawnBy: "the fitter", Revision: "A", Date: "2026-11-25"}, doc.Rig)

	battery, _ := doc.Part("BAT1")
	assert.Equal(t, components.Point{X: 120, Y: 480}, battery.At)
	assert.Equal(t, components.New, battery.Status)
	assert.True(t, battery.Spec["internal_mohm"].IsUnknown())
	assert.Equal(t, components.Missing, battery.Figure("internal_mohm").From)
	assert.Equal(t, components.Default, battery.Figure("series").From)
	assert.Equal(t, components.Purchase{Description: "Block, 12.8 V", Price: 899.5}, battery.Buy)
	assert.Equal(t, "First line.\n\nLast line: with a colon # and a hash.", battery.Note)

	fuse, _ := doc.Part("F1")
	assert.Equal(t, 90, fuse.Turn)
	assert.Equal(t, components.Existing, fuse.Status)
	assert.Equal(t, components.Comment{Above: "Above the fuse.\nTwo lines.", Beside: `want dc.fuse "a finding"`}, doc.Comments["F1"])
	assert.Equal(t, "the rule set", doc.Comments["basis"].Beside)

	panel, _ := doc.Part("PNL")
	rows := panel.Spec["circuits"].Rows()
	require.Len(t, rows, 2)
	assert.Equal(t, 20.0, rows[0]["breaker_a"].Num())
	assert.True(t, rows[1]["breaker_a"].IsUnknown())
	assert.Equal(t, `Range, "hot"`, rows[1]["label"].Str())

	cord, _ := doc.Run("W2")
	assert.Equal(t, []components.Core{{From: components.L, To: components.L1}, {From: components.N, To: components.N}, {From: components.G, To: components.G}}, cord.Cores)
	assert.Equal(t, components.Remove, cord.Status)
	assert.Equal(t, components.Missing, cord.Figure("length_ft").From)
	w1, _ := doc.Run("W1")
	assert.Nil(t, w1.Cores)
	assert.Equal(t, []components.Point{{X: 140, Y: 440}, {X: 150, Y: 440}}, w1.Path)

	assert.Equal(t, []components.State{
		{Name: "Shore 30 A adapter", Shore: "30a-120-adapter", SoC: 0.5, Off: []components.ID{"SH2"}},
		{Name: "By hand", Generator: true, Sun: 0.5, Engine: true, SoC: 1, On: []components.ID{"PNL", "BAT1"}, Bypass: true},
	}, doc.States)
	assert.Equal(t, []components.Note{{Form: "cloud", At: components.Point{X: 15, Y: 20}, To: components.Point{X: 100, Y: 80}, Text: "Look here, please"}}, doc.Notes)
	assert.Equal(t, []components.Acceptance{{Rule: "conductor.ampacity", On: []string{"W1", "BAT1.pos"}, Reason: "Measured, cool.", By: "the fitter"}}, doc.Accepted)
}

// What is left out of a file is the format's default.
func TestDefaults(t *testing.T) {
	doc := readWell(t, head)
	assert.Equal(t, "us-rv", doc.Basis)
	assert.Equal(t, "us", doc.Units)
	assert.Equal(t, 30.0, doc.AmbientC)
	assert.Equal(t, 75.0, doc.ConductorTempC)
	assert.Empty(t, doc.Parts())
	assert.Nil(t, doc.Comments)

	doc = readWell(t, twoFuse+"runs: [{id: W1, from: F1.load, to: F2.line}]\nstates: [{name: A}]\n")
	w, _ := doc.Run("W1")
	assert.Equal(t, components.New, w.Status)
	assert.Empty(t, w.Spec)
	assert.Equal(t, []components.State{{Name: "A", SoC: 0.5}}, doc.States)
}

func TestLengths(t *testing.T) {
	for _, c := range []struct {
		written string
		feet    float64
	}{
		{"length_ft: 1.5", 1.5},
		{"length_ft: .5", 0.5},
		{"length_ft: 1e1", 10},
		{"length_ft: 0", 0},
		{"length_m: 0.3048", 1}, // the international foot
		{"length_m: 3", 9.8425}, // 9.84252 ft
		{"length_m: 304.8", 1000},
	} {
		doc := readWell(t, twoFuse+"runs: [{id: W1, from: F1.load, to: F2.line, "+c.written+"}]\n")
		w, _ := doc.Run("W1")
		got := w.Figure("length_ft")
		assert.Equal(t, components.Given, got.From, c.written)
		assert.Equal(t, c.feet, got.Value, c.written)
	}
	doc := readWell(t, twoFuse+"runs: [{id: W1, from: F1.load, to: F2.line, length_m: unknown}]\n")
	w, _ := doc.Run("W1")
	assert.True(t, w.Spec["length_ft"].IsUnknown())
	assert.Contains(t, faults(t, twoFuse+"runs: [{id: W1, from: F1.load, to: F2.line, length_m: 305}]\n"), "run W1: length_m is 305: want 0 to 304.8")
}

// A text may be the word unknown; a figure's unknown is no word.
func TestUnknownInTexts(t *testing.T) {
	row := func(label string) components.Value {
		doc := readWell(t, head+"parts: [{id: P, kind: dc-panel, spec: {bus_a: unknown, circuits: [{fuse_a: unknown, label: "+label+"}]}}]\n")
		p, _ := doc.Part("P")
		assert.True(t, p.Spec["bus_a"].IsUnknown())
		return p.Spec["circuits"].Rows()[0]["label"]
	}
	assert.True(t, row("unknown").IsUnknown())
	assert.Equal(t, components.Str("unknown"), row(`"unknown"`))
	assert.False(t, row(`""`).Told())
}

// Every fault of a file is told at once; those beyond the first thousand are
// counted.
func TestManyFaults(t *testing.T) {
	all := strings.Split(faults(t, head+strings.Repeat("foo: 1\n", maxProblems+5)), "\n")
	require.Len(t, all, maxProblems+1)
	assert.Equal(t, "rig.yaml:2:1: unknown key \"foo\": want one of "+strings.Join(topKeys, ", "), all[0])
	assert.Equal(t, "rig.yaml:1001:1: and 5 faults more: put these right first", all[maxProblems])
}

// A fault of a part is not told again at the runs that end there.
func TestFaultyPartsRunsAreLeftAlone(t *testing.T) {
	for _, part := range []string{
		"{id: F3, kind: fuze, spec: {family: anl, rating_a: 100}}",
		"{id: F3, spec: {family: anl, rating_a: 100}}",
		"{id: F3, kind: fuse, spec: {family: anl, rating_a: 100, pole: x}}",
	} {
		got := faults(t, twoFuse+"  - "+part+"\nruns: [{id: W1, from: F1.load, to: F3.line}]\nstates: [{name: A, off: [F3]}]\n")
		assert.NotContains(t, got, "W1", got)
		assert.NotContains(t, got, "state", got)
		assert.Equal(t, 0, strings.Count(got, "\n"), got)
	}
}

// Columns count characters, and a mark at the beginning of the file counts for
// nothing.
func TestColumns(t *testing.T) {
	assert.Equal(t, `rig.yaml:2:18: rig: unknown key "abuot"; did you mean "about"?`, faults(t, head+"rig: {date: äöü, abuot: x}\n"))
	assert.Equal(t, `rig.yaml:1:1: unknown key "titel"; did you mean "title"?`, faults(t, "\ufefftitel: x\n"+head))
}

func TestLimits(t *testing.T) {
	repeat := func(n int, line string) string {
		var b strings.Builder
		for i := range n {
			fmt.Fprintf(&b, line+"\n", i)
		}
		return b.String()
	}
	circuits := "{leg: L1, breaker_a: 15}" + strings.Repeat(", {leg: L1, breaker_a: 15}", maxRows)
	for _, c := range []struct{ name, data, want string }{
		{"bytes", head + "# " + strings.Repeat("x", MaxBytes), "rig.yaml:1:1: the file has 8388628 bytes: want at most 8 MiB"},
		{"signs", head + strings.Repeat(",", maxSigns), "rig.yaml:1:1: the file has 1000002 line ends, colons and commas: want at most 1000000"},
		{"parts", head + "parts:\n" + repeat(maxParts+1, "  - {id: CH%d, kind: chassis}"), "rig.yaml:3:3: parts has 10001 entries: want at most 10000"},
		{"runs", twoFuse + "runs:\n" + repeat(maxRuns+1, "  - {id: W%d, from: F1.load, to: F2.line}"), "rig.yaml:6:3: runs has 20001 entries: want at most 20000"},
		{"circuits", head + "parts: [{id: P, kind: panel, spec: {bus_a: 50, circuits: [" + circuits + "]}}]\n", "rig.yaml:2:58: part P: circuits has 121 entries: want at most 120"},
		{"bends", twoFuse + "runs: [{id: W1, from: F1.load, to: F2.line, path: [[0, 0]" + strings.Repeat(", [0, 0]", maxBends) + "]}]\n", "rig.yaml:5:51: run W1: path has 201 entries: want at most 200"},
		{"text", head + "title: " + strings.Repeat("x", maxText+1) + "\n", "rig.yaml:2:8: title has 20001 bytes: want at most 20000"},
		{"long word", head + "basis: " + strings.Repeat("x", 100) + "\n", "rig.yaml:2:8: basis is \"" + strings.Repeat("x", 60) + "…\": want one of us-rv, iec-caravan"},
		{"brackets", head + "parts: " + strings.Repeat("[", 100_000) + "\n", "rig.yaml:2:1: not readable as YAML: nested too deep: want at most 12 levels"},
	} {
		t.Run(c.name, func(t *testing.T) {
			assert.Equal(t, c.want, faults(t, c.data))
		})
	}
}

func TestIndex(t *testing.T) {
	data, err := os.ReadFile("testdata/canonical.yaml")
	require.NoError(t, err)
	_, index, err := Read("canonical.yaml", data)
	require.NoError(t, err)
	lines := strings.Split(string(data), "\n")
	for _, c := range []struct{ address, begins string }{
		{"title", "title: Bench"},
		{"rig.date", `date: "2026-11-25"`},
		{"BAT1", "id: BAT1"},
		{"BAT1.kind", "kind: battery"},
		{"BAT1.spec", "spec: {chemistry"},
		{"BAT1.spec.capacity_ah", "capacity_ah: 100"},
		{"BAT1.spec.series", "spec: {chemistry"}, // left to its default
		{"BAT1.pos.+", "id: BAT1"},
		{"BAT1.buy.price", "price: 899.5"},
		{"PNL.c2", "{leg: both"},
		{"PNL.c2.breaker_a", "breaker_a: unknown"},
		{"PNL.c2.N", "{leg: both"},
		{"W2", "id: W2"},
		{"W2.cores", "cores: [L>L1"},
		{"W2.size", "size: 10 AWG"},
		{"W2.ambient_c", "id: W2"},
		{"states.2", "{name: By hand"},
		{"states.1.soc", "soc: 0.5"},
		{"notes.1", "{form: cloud"},
		{"accepted.1.on", "on: [W1"},
	} {
		at, ok := index.Find(c.address)
		require.True(t, ok, c.address)
		assert.True(t, strings.HasPrefix(lines[at.Line-1][at.Col-1:], c.begins), "%s is at %v", c.address, at)
	}
	_, ok := index.Find("BAT9.pos")
	assert.False(t, ok)
	_, ok = (*Index)(nil).Find("BAT1")
	assert.False(t, ok)
}

func TestLoad(t *testing.T) {
	dir := t.TempDir()
	_, _, err := Load(filepath.Join(dir, "no.yaml"))
	assert.ErrorIs(t, err, os.ErrNotExist)
	assert.ErrorContains(t, err, "read project: open ")
	_, _, err = Load(dir)
	assert.ErrorContains(t, err, "read project: read ")

	path := filepath.Join(dir, "rig.yaml")
	require.NoError(t, os.WriteFile(path, []byte("format: rigline/2\n"), 0o644))
	_, _, err = Load(path)
	assert.EqualError(t, err, path+":1:9: format rigline/2 is later than this program reads: want rigline/1, or a newer program")

	require.NoError(t, os.Truncate(path, 1<<40)) // a file with nothing in it, far larger than memory
	_, _, err = Load(path)
	assert.ErrorContains(t, err, "want at most 8 MiB")
}

func BenchmarkRead(b *testing.B) {
	for _, n := range []int{40, 400, 4000} {
		data := Write(large(b, n))
		b.Run(fmt.Sprintf("parts=%d", n), func(b *testing.B) {
			b.SetBytes(int64(len(data)))
			for b.Loop() {
				if _, _, err := Read("rig.yaml", data); err != nil {
					b.Fatal(err)
				}
			}
		})
	}
}

func BenchmarkWrite(b *testing.B) {
	doc := large(b, 400)
	for b.Loop() {
		Write(doc)
	}
}

// A part that is pinned stays so in the file; one that is not says nothing of it.
func TestPinnedPartsStayPinned(t *testing.T) {
	const file = "format: rigline/1\ntitle: Pins\nparts:\n  - {id: CH1, kind: chassis, at: [100, 100], pinned: true}\n  - {id: CH2, kind: chassis, at: [200, 100]}\n"
	doc, _, err := Read("pins.yaml", []byte(file))
	require.NoError(t, err)
	pins := func(doc *components.Document) []bool {
		var all []bool
		for _, p := range doc.Parts() {
			all = append(all, p.Pinned)
		}
		return all
	}
	assert.Equal(t, []bool{true, false}, pins(doc))
	written := Write(doc)
	assert.Equal(t, 1, strings.Count(string(written), "pinned: true"))
	again, _, err := Read("pins.yaml", written)
	require.NoError(t, err)
	assert.Equal(t, []bool{true, false}, pins(again))

	_, _, err = Read("pins.yaml", []byte(strings.Replace(file, "true", "\"yes\"", 1)))
	assert.ErrorContains(t, err, "want true or false")
}
