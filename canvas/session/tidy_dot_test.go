package session

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
	"rigline/projects"
)

// The same graph, laid out by Graphviz, is the yardstick, and nothing lies on
// anything. Graphviz's orthogonal edges know no ports: a line may leave a part
// wherever it likes, where a lead has to end at its own terminal on its own side.
// So its places are taken, the runs are routed between them to the ports as on any
// sheet, and a tidied sheet has no more crossings than that, and no more bends.
// What Graphviz counts for its own lines without ports is printed beside it.
func TestTidyAgainstDot(t *testing.T) {
	_, missing := exec.LookPath("dot")
	if missing != nil {
		if os.Getenv("CI") != "" {
			t.Fatal("Graphviz is missing: the yardstick of the layout (Debian: graphviz)")
		}
		t.Log("NOT COMPARED WITH GRAPHVIZ: dot is missing (Debian: graphviz). Only overlaps are looked for")
	}
	docs := map[string]*components.Document{}
	var names []string
	for _, s := range projects.Samples() {
		names = append(names, s.Name)
		docs[s.Name] = s.Document()
	}
	files, err := filepath.Glob("../../testdata/topologies/*.yaml")
	require.NoError(t, err)
	require.Len(t, files, 15)
	for _, f := range files {
		doc, _, err := projects.Load(f)
		require.NoError(t, err)
		name := strings.TrimSuffix(filepath.Base(f), ".yaml")
		names = append(names, name)
		docs[name] = doc
	}
	if testing.Short() {
		names = []string{"kitchen-trailer", "library-bus", "t01", "t09"}
	}
	var table strings.Builder
	write := func(f figures) {
		fmt.Fprintf(&table, " %5d %5d %6.0f %5.2f  ", f.crossings, f.bends, f.long, f.area())
	}
	fmt.Fprintf(&table, "%-16s %5s %5s  %-26s %-26s %-26s %s\n", "", "parts", "runs", "as drawn", "tidied", "Graphviz's places", "Graphviz's lines, no ports")
	fmt.Fprintf(&table, "%-16s %5s %5s %s%s%s\n", "", "", "", strings.Repeat(" cross bends   long  area  ", 3), " cross bends", "")
	var ours, theirs, drawn figures
	for _, name := range names {
		doc := docs[name]
		tidy := tidiedRig(t, doc)
		apart(t, name, scene.Draw(tidy, scene.Options{Frame: true}))
		seenWhole(t, name, tidy)
		mine, hand := drawnFigures(tidy), drawnFigures(doc)
		fmt.Fprintf(&table, "%-16s %5d %5d ", name, len(doc.Parts()), len(doc.Runs()))
		write(hand)
		write(mine)
		if missing == nil {
			placed, free := dotLays(t, tidy)
			dot := drawnFigures(placed)
			write(dot)
			if free == nil {
				fmt.Fprint(&table, " none: its router gave up")
			} else {
				own := tally(free)
				fmt.Fprintf(&table, " %5d %5d", own.crossings, own.bends)
			}
			assert.LessOrEqual(t, mine.crossings, dot.crossings, "crossings of %s", name)
			assert.LessOrEqual(t, mine.bends, dot.bends, "bends of %s", name)
			theirs = theirs.plus(dot)
		}
		ours, drawn = ours.plus(mine), drawn.plus(hand)
		fmt.Fprintln(&table)
	}
	fmt.Fprintf(&table, "%-28s ", "together")
	write(drawn)
	write(ours)
	write(theirs)
	t.Log("\n" + table.String())
	assert.Less(t, ours.area(), 1.3*drawn.area(), "a tidied sheet is about as compact as one drawn by hand")
	if missing == nil {
		assert.LessOrEqual(t, ours.crossings, theirs.crossings, "crossings of all rigs together")
		assert.LessOrEqual(t, ours.bends, theirs.bends, "bends of all rigs together")
	}
}

// area is what a drawing covers, in millions of square sheet units.
func (f figures) area() float64 { return f.wide * f.high / 1e6 }

// plus adds what can be added; the area is kept as a strip.
func (f figures) plus(o figures) figures {
	area := (f.area() + o.area()) * 1e6
	return figures{f.crossings + o.crossings, f.bends + o.bends, f.long + o.long, area, 1, f.led + o.led}
}

// tidiedRig is a document with its sheet tidied.
func tidiedRig(t *testing.T, doc *components.Document) *components.Document {
	t.Helper()
	tidy, err := doc.Apply(tidyEdits(doc)...)
	require.NoError(t, err)
	return tidy
}

// dotLays lays the same parts, at their sizes, and the same runs out with Graphviz,
// left to right: the document with its parts at those places, and Graphviz's own
// orthogonal lines, nil where its router gives up.
func dotLays(t *testing.T, doc *components.Document) (placed *components.Document, lines [][]scene.Pt) {
	t.Helper()
	graph := func(splines string) []byte {
		var g bytes.Buffer
		fmt.Fprintf(&g, "digraph rig { graph [rankdir=LR splines=%s nodesep=0.9 ranksep=1.5]; node [shape=box fixedsize=true label=\"\"]; edge [dir=none]\n", splines)
		for _, p := range doc.Parts() {
			b := bodyOf(p)
			fmt.Fprintf(&g, "%q [width=%.3f height=%.3f]\n", p.ID, float64(b.Max.X-b.Min.X)/72, float64(b.Max.Y-b.Min.Y)/72)
		}
		for _, r := range doc.Runs() {
			fmt.Fprintf(&g, "%q -> %q\n", r.From.Part, r.To.Part)
		}
		fmt.Fprintln(&g, "}")
		cmd := exec.Command("dot", "-Tplain")
		cmd.Stdin = &g
		out, err := cmd.Output()
		if err != nil {
			return nil
		}
		return out
	}
	number := func(word string) float64 {
		v, err := strconv.ParseFloat(word, 64)
		require.NoError(t, err)
		return 72 * v
	}
	out := graph("line")
	require.NotEmpty(t, out)
	var edits []components.Edit
	for _, line := range strings.Split(string(out), "\n") {
		words := strings.Fields(line)
		if len(words) < 4 || words[0] != "node" {
			continue
		}
		p, ok := doc.Part(components.ID(strings.Trim(words[1], "\"")))
		require.True(t, ok, words[1])
		at := onGrid(scene.Pt{X: 200 + number(words[2]), Y: 200 - number(words[3])})
		b := bodyOf(p)
		mid := components.Point{X: (b.Min.X + b.Max.X) / 2, Y: (b.Min.Y + b.Max.Y) / 2}
		edits = append(edits, components.MovePart{ID: p.ID, At: onGrid(scene.Pt{X: float64(at.X - mid.X), Y: float64(at.Y - mid.Y)}), Turn: p.Turn})
	}
	placed, err := doc.Apply(edits...)
	require.NoError(t, err)
	for _, line := range strings.Split(string(graph("ortho")), "\n") {
		words := strings.Fields(line)
		if len(words) < 5 || words[0] != "edge" {
			continue
		}
		n, err := strconv.Atoi(words[3])
		require.NoError(t, err)
		var path []scene.Pt
		for i := 0; i < n; i += 3 { // of a spline's points every third lies on it; straight pieces have their ends there
			path = append(path, scene.Pt{X: number(words[4+2*i]), Y: number(words[5+2*i])})
		}
		lines = append(lines, path)
	}
	return placed, lines
}
