package solve_test

import (
	"bytes"
	"os"
	"testing"

	"rigline/components"
	"rigline/projects"
	"rigline/rules/solve"
)

// usual is the 50 A bus with every length told: about fifty parts and runs.
func usual(b *testing.B) *components.Document {
	data, err := os.ReadFile("../../projects/starts/bus-50a.yaml")
	if err != nil {
		b.Fatal(err)
	}
	doc, _, err := projects.Read("bus-50a.yaml", bytes.ReplaceAll(data, []byte("length_ft: unknown"), []byte("length_ft: 4")))
	if err != nil {
		b.Fatal(err)
	}
	return doc
}

// BenchmarkStates solves a usual rig in all its states, with the highest and the
// lowest fault at every port.
func BenchmarkStates(b *testing.B) {
	doc := usual(b)
	b.ReportAllocs()
	for b.Loop() {
		solve.StatesAndFaults(doc, doc.Operating())
	}
}

// BenchmarkEdit does the same after an edit of one figure, the edit included.
func BenchmarkEdit(b *testing.B) {
	doc := usual(b)
	feet := 4.0
	for b.Loop() {
		feet += 0.01
		next, err := doc.Apply(components.Set{On: "W19", Key: "length_ft", Value: components.Num(feet)})
		if err != nil {
			b.Fatal(err)
		}
		solve.StatesAndFaults(next, next.Operating())
	}
}
