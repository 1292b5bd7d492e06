package projects

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

const measured = `format: rigline/1
title: Measured
readings:
  - {item: L04/BAT10, value: 20.5, unit: A, date: 2026-11-26}
  - {item: D02, value: 13.1, unit: V, date: 2027-05-01, by: "the fitter", note: cold}
  - {item: D02, value: 13.20, unit: V, date: 2026-11-26, baseline: true}
  - {item: L04/BAT2, value: 21, unit: A, date: 2026-11-26}
  - {item: B03/W1, value: yes}
`

func TestReadings(t *testing.T) {
	doc, _, err := Read("rig.yaml", []byte(measured))
	require.NoError(t, err)
	want := []components.Reading{
		{Item: "B03/W1", Value: "yes"},
		{Item: "D02", Value: "13.2", Unit: "V", Date: "2026-11-26", Baseline: true},
		{Item: "D02", Value: "13.1", Unit: "V", Date: "2027-05-01", By: "the fitter", Note: "cold"},
		{Item: "L04/BAT2", Value: "21", Unit: "A", Date: "2026-11-26"},
		{Item: "L04/BAT10", Value: "20.5", Unit: "A", Date: "2026-11-26"},
	}
	assert.Equal(t, want, doc.Readings)
	again, _, err := Read("rig.yaml", Write(doc))
	require.NoError(t, err)
	assert.Equal(t, want, again.Readings)
	assert.Equal(t, string(Write(doc)), string(Write(again)))

	latest, baseline := doc.ReadingOf("D02")
	assert.Equal(t, "13.1", latest.Value)
	assert.Equal(t, "13.2", baseline.Value)

	// A second reading of a day and a second baseline take the place of the first.
	next, err := doc.Apply(components.Record{Reading: components.Reading{Item: "D02", Value: "13.0", Unit: "V", Date: "2027-05-01"}},
		components.Record{Reading: components.Reading{Item: "D02", Value: "13.25", Unit: "V", Date: "2027-06-01", Baseline: true}})
	require.NoError(t, err)
	latest, baseline = next.ReadingOf("D02")
	assert.Equal(t, "13", latest.Value)
	assert.Equal(t, "13.25", baseline.Value)
	assert.Equal(t, want, doc.Readings, "the document before is whole")
	_, err = doc.Apply(components.Record{Reading: components.Reading{Item: "D02", Value: "about 13"}})
	assert.ErrorContains(t, err, "want a number")
}

func TestReadingsRefused(t *testing.T) {
	for text, want := range map[string]string{
		"{item: D02, value: 13, volts: 12}":      `reading 1: unknown key "volts"`,
		"{item: D02}":                            "reading 1: value is missing",
		"{value: 13}":                            "reading 1: item is missing",
		"{item: D02, value: high}":               `want a number as in 13.2, or yes or no`,
		"{item: D02, value: .inf}":               `want a number`,
		"{item: D02, value: 1, baseline: maybe}": "reading 1: baseline",
	} {
		_, _, err := Read("rig.yaml", []byte("format: rigline/1\ntitle: x\nreadings:\n  - "+text+"\n"))
		assert.ErrorContains(t, err, want, text)
	}
	_, _, err := Read("rig.yaml", []byte("format: rigline/1\ntitle: x\nreadings:\n  - {item: D02, value: 1}\n  - {item: D02, value: 2}\n"))
	assert.ErrorContains(t, err, "D02 is read twice on one day: it stands at line 4 already")
}
