package solve_test

import (
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
	"rigline/rules/rulestest"
	"rigline/rules/solve"
)

func usual(b *testing.B) *components.Document {
	rules.Roomy()
	doc, err := rulestest.Sixty("../..")
	require.NoError(b, err)
	require.Len(b, doc.Parts(), 60)
	return doc
}

// BenchmarkStates solves a usual rig in all its states, with the highest and the
// lowest fault at every port.
func BenchmarkStates(b *testing.B) {
	doc := usual(b)
	b.ReportAllocs()
	for b.Loop() {
		solve.StatesAndFaults(circuit.Lay(doc), doc.Operating())
	}
}

// BenchmarkEdit does the same after an edit of one figure, the edit included, each
// out of the one before.
func BenchmarkEdit(b *testing.B) {
	doc := usual(b)
	laid := circuit.Lay(doc)
	solve.StatesAndFaults(laid, doc.Operating())
	feet := 4.0
	for b.Loop() {
		feet += 0.01
		next, err := doc.Apply(components.Set{On: "W19", Key: "length_ft", Value: components.Num(feet)})
		require.NoError(b, err)
		laid = circuit.LayNext(laid, next)
		solve.StatesAndFaults(laid, next.Operating())
	}
}
