package projects

import (
	"bytes"
	"math"
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// again reads, writes, reads and writes, and wants the second writing to be the
// first.
func again(t *testing.T, data []byte) []byte {
	t.Helper()
	doc, _, err := Read("rig.yaml", data)
	require.NoError(t, err)
	first := Write(doc)
	doc, _, err = Read("written.yaml", first)
	require.NoError(t, err, "%s", first)
	second := Write(doc)
	assert.Equal(t, string(first), string(second))
	return first
}

// A file in the canonical order and style is written back byte for byte.
func TestCanonicalFileStaysAsItIs(t *testing.T) {
	data, err := os.ReadFile("testdata/canonical.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(data), string(again(t, data)))
}

// A file as a hand writes it comes out in the canonical order, comments with it.
func TestHandWrittenFile(t *testing.T) {
	data, err := os.ReadFile("testdata/hand.yaml")
	require.NoError(t, err)
	want, err := os.ReadFile("testdata/hand.canonical.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(want), string(again(t, data)))
}

// The line ends of another system make no difference.
func TestOtherLineEnds(t *testing.T) {
	data, err := os.ReadFile("testdata/canonical.yaml")
	require.NoError(t, err)
	assert.Equal(t, string(data), string(again(t, bytes.ReplaceAll(data, []byte("\n"), []byte("\r\n")))))
}

// Figures that the file cannot hold and places that the sheet has not are put
// right in writing, since a file must read back.
func TestWriteKeepsToTheFormat(t *testing.T) {
	doc, err := components.NewDocument("").Apply(
		components.AddPart{Part: components.Part{ID: "F1", Kind: &components.Fuse, At: components.Point{X: 14, Y: 99_999}, Turn: -90,
			Spec: components.Spec{"family": components.Str("anl"), "rating_a": components.Num(math.NaN())}}},
		components.AddPart{Part: components.Part{ID: "F2", Kind: &components.Fuse, At: components.Point{X: -15, Y: 16}, Turn: 450,
			Spec: components.Spec{"family": components.Str("anl"), "rating_a": components.Num(0.5)}}},
		components.AddRun{Run: components.Run{ID: "W1", From: components.PortRef{Part: "F1", Port: "load"}, To: components.PortRef{Part: "F2", Port: "line"}, Path: []components.Point{{X: 11, Y: 19}}}},
	)
	require.NoError(t, err)
	want := `format: rigline/1
title: ""
basis: us-rv
units: us
ambient_c: 30
conductor_temp_c: 75

parts:
  - id: F1
    kind: fuse
    at: [10, 20000]
    turn: 270
    spec: {family: anl, rating_a: unknown}

  - id: F2
    kind: fuse
    at: [-20, 20]
    turn: 90
    spec: {family: anl, rating_a: 0.5}

runs:
  - id: W1
    from: F1.load
    to: F2.line
    path: [[10, 20]]
`
	assert.Equal(t, want, string(Write(doc)))
	again(t, Write(doc))
}

// A part that has a key of the project for its tag keeps its own comment, and
// the key keeps its.
func TestTagLikeAKey(t *testing.T) {
	data := "# Above all.\n" + head + "title: x # the title\nparts:\n  - {id: title, kind: chassis} # the part\n"
	doc := readWell(t, data)
	assert.Equal(t, "the part", doc.Comments["title"].Beside)
	written := string(again(t, []byte(data)))
	assert.Contains(t, written, "title: x # the title\n")
	assert.Contains(t, written, "  - id: title # the part\n")
}
