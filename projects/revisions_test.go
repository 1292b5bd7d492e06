package projects

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

func TestRevisions(t *testing.T) {
	doc, _, err := Read("rig.yaml", []byte(`format: rigline/1
title: Issued
revisions:
  - {letter: A, date: 2026-11-25, what: As found}
  - {letter: B, date: 2026-12-02, what: "Lithium bank, inverter", by: the fitter}
  - {letter: 3}
`))
	require.NoError(t, err)
	want := []components.Revision{{Letter: "A", Date: "2026-11-25", What: "As found"}, {Letter: "B", Date: "2026-12-02", What: "Lithium bank, inverter", By: "the fitter"}, {Letter: "3"}}
	assert.Equal(t, want, doc.Revisions)
	again, _, err := Read("rig.yaml", Write(doc))
	require.NoError(t, err)
	assert.Equal(t, want, again.Revisions)

	for text, says := range map[string]string{
		"{what: First}":          "revision 1: letter is missing",
		"{letter: A, word: one}": `revision 1: unknown key "word"`,
	} {
		_, _, err := Read("rig.yaml", []byte("format: rigline/1\ntitle: x\nrevisions:\n  - "+text+"\n"))
		assert.ErrorContains(t, err, says, text)
	}
}
