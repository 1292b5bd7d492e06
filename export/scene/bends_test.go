package scene

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// The least bends follow from the sides on which the end lies, not from how far.
func TestBendsAreOfTheSides(t *testing.T) {
	for d := range 4 {
		for dx := -3; dx <= 3; dx++ {
			for dy := -3; dy <= 3; dy++ {
				for arrive := range uint8(16) {
					assert.Equal(t, fewestBends(d, dx, dy, arrive), int(leastBends[d][side(dx)][side(dy)][arrive]), "%d: %d, %d, %b", d, dx, dy, arrive)
				}
			}
		}
	}
}
