package checks_test

import (
	"math/rand/v2"
	"testing"

	"github.com/stretchr/testify/assert"
)

// An array straight on the bank puts its voltage on everything there: that is told first,
// and the ratings that it exceeds stand behind it.
func TestArrayOnBankStandsBeforeWhatItExceeds(t *testing.T) {
	planted, behind := 0, 0
	for _, s := range soundRigs(t) {
		r := &rig{s.doc, rand.New(rand.NewPCG(1, 2))}
		if r.arrayOnBank() == nil {
			continue
		}
		planted++
		for _, f := range check(t, r.doc).Findings {
			switch f.Rule.ID {
			case "overcurrent.voltage-rating", "conductor.insulated-for-its-voltage", "battery.voltage-class":
				t.Errorf("%s: %s at %s stands beside its cause", s.name, f.Rule.ID, f.At)
			case "solar.no-controller":
				behind += len(f.Behind)
			}
		}
	}
	assert.GreaterOrEqual(t, planted, 5)
	assert.Positive(t, behind)
}
