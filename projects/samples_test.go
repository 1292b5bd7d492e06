package projects

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// shelves are all the project files that come with the program.
func shelves() []Sample {
	all := Samples()
	all = append(all, BrokenSamples()...)
	return append(all, Starts()...)
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
	}{{"bus-50a", 24}, {"empty", 0}, {"trailer-30a", 19}, {"van-12v", 21}} {
		doc := Blank(want.name)
		require.NotNil(t, doc, want.name)
		assert.Len(t, doc.Parts(), want.parts, want.name)
	}
	assert.Len(t, Starts(), 4)
	assert.Nil(t, Blank("boat"))
}

func TestFindSample(t *testing.T) {
	s, ok := FindSample("van-12v")
	require.True(t, ok)
	assert.Equal(t, "Van, 12 V", s.Title)
	_, ok = FindSample("boat")
	assert.False(t, ok)
}
