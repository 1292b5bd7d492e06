package svg

import (
	"io"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/export/scene"
	"rigline/rules"
	"rigline/rules/rulestest"
)

// BenchmarkThousand draws a rig of a thousand parts on one sheet and writes it.
func BenchmarkThousand(b *testing.B) {
	rules.Roomy()
	doc, err := rulestest.Fleet(1000)
	require.NoError(b, err)
	for b.Loop() {
		require.NoError(b, Write(io.Discard, scene.Draw(doc, scene.Options{Frame: true})))
	}
}
