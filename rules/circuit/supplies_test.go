package circuit

import (
	"math"
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/projects"
)

// A transfer switch stands at the words of what supplies it, by whatever it comes.
func TestTransferStandsAtItsSupply(t *testing.T) {
	for _, s := range projects.Samples() {
		if s.Name != "clinic-trailer" {
			continue
		}
		doc := s.Document()
		assert.Equal(t, "its input a (SH1)", InputOf(doc, "TS1", AtA), "through the inlet and the protector")
		assert.Equal(t, "its input b (GEN1)", InputOf(doc, "TS1", AtB))
		assert.Equal(t, "its input c", InputOf(doc, "TS1", "c"), "where nothing comes in nothing is named")
		return
	}
	t.Fatal("no such sample")
}

// A limit that nobody has told is said to be that: neither endless nor none.
func TestALimitThatIsNotToldIsSaidToBe(t *testing.T) {
	assert.Equal(t, "INV1's own limit, which is not told", ownLimit("INV1", "%.1f", math.Inf(1)))
	assert.Equal(t, "ALT1's own limit, 110 A", ownLimit("ALT1", "%.4g", 110))
}
