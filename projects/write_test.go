package projects

import (
	"os"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
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
