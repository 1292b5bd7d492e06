package checks

import (
	"regexp"
	"testing"

	"github.com/stretchr/testify/assert"
)

// Three facts of scope stand with every clause that they concern: the marine rules are
// no law in a vehicle, article 551 leaves low voltage to others, so that the park
// trailers' 552 is quoted, and articles 480 and 706 bind above 60 V alone.
func TestClausesTellTheirScope(t *testing.T) {
	storage := regexp.MustCompile(`\b(706\.\d|480\.7)`)
	for _, r := range All {
		for _, b := range r.Basis {
			text := b.Source + " " + b.Clause + " " + b.Says
			switch {
			case regexp.MustCompile(`^(33 CFR|46 CFR|ABYC)`).MatchString(b.Source):
				assert.Contains(t, b.Says, "not law in a vehicle", "%s: %s", r.ID, text)
			case regexp.MustCompile(`\b552\.1`).MatchString(b.Clause):
				assert.Contains(t, b.Says, "park trailers", "%s: %s", r.ID, text)
			}
			if storage.MatchString(b.Clause) {
				assert.Contains(t, b.Says, "60 V", "%s: %s", r.ID, text)
			}
		}
	}
}
