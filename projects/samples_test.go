package projects

import (
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shelves are all the project files that come with the program.
func shelves() []Sample {
	return slices.Concat(Samples(), BrokenSamples(), Starts())
}

func TestSamplesReadAndSettle(t *testing.T) {
	names := map[string]bool{}
	for _, s := range shelves() {
		t.Run(s.Name, func(t *testing.T) {
			again(t, s.Data)
			doc, _, err := Read(s.Name, s.Data)
			require.NoError(t, err)
			assert.Equal(t, doc.Title, s.Title)
			assert.NotEmpty(t, s.Title)
			assert.False(t, names[s.Name], "two samples of one name")
			names[s.Name] = true
		})
	}
}

func TestStarts(t *testing.T) {
	for _, want := range []struct {
		name  string
		parts int
	}{{"bus-50a", 24}, {"empty", 0}, {"trailer-30a", 19}, {"van-12v", 22}} {
		doc := Blank(want.name)
		require.NotNil(t, doc, want.name)
		assert.Len(t, doc.Parts(), want.parts, want.name)
	}
	assert.Len(t, Starts(), 4)
	assert.Nil(t, Blank("boat"))
}

// Each broken rig stands beside the sound one of the same name.
func TestBrokenTwins(t *testing.T) {
	for _, s := range BrokenSamples() {
		_, ok := FindSample(s.Name[len("broken/"):])
		assert.True(t, ok, s.Name)
	}
}

func TestFindSample(t *testing.T) {
	s, ok := FindSample("van-12v")
	require.True(t, ok)
	assert.Equal(t, "Van, 12 V", s.Title)
	assert.Equal(t, "A 12 V van: one lithium battery, solar, charging from the alternator, no mains. Lengths and label figures are unknown until somebody measures and reads them.", s.About)
	_, ok = FindSample("boat")
	assert.False(t, ok)
}
