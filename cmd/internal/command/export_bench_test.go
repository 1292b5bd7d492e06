package command

import (
	"context"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/export/report"
	"rigline/rules"
	"rigline/rules/checks"
	"rigline/rules/rulestest"
)

// BenchmarkHandOff makes every file of a hand-off of a rig of a thousand parts, the
// check before it included.
func BenchmarkHandOff(b *testing.B) {
	rules.Roomy()
	doc, err := rulestest.Fleet(1000)
	require.NoError(b, err)
	for b.Loop() {
		r, err := rules.Check(context.Background(), doc, checks.All)
		require.NoError(b, err)
		_, err = handOff(doc, r, "many", report.Of(r, "many.yaml", nil), func(string) {})
		require.NoError(b, err)
	}
}
