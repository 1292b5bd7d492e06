package checks

import (
	"bytes"
	"context"
	"os"
	"testing"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
)

// usual is the 50 A bus with every length told: about fifty parts and runs.
func usual(b *testing.B) *components.Document {
	data, err := os.ReadFile("../../projects/starts/bus-50a.yaml")
	if err != nil {
		b.Fatal(err)
	}
	data = bytes.ReplaceAll(data, []byte("length_ft: unknown"), []byte("length_ft: 4"))
	doc, _, err := projects.Read("bus-50a.yaml", data)
	if err != nil {
		b.Fatal(err)
	}
	return doc
}

// BenchmarkCheck runs every rule in every state of a usual rig.
func BenchmarkCheck(b *testing.B) {
	doc := usual(b)
	b.ReportAllocs()
	for b.Loop() {
		if _, err := rules.Check(context.Background(), doc, All); err != nil {
			b.Fatal(err)
		}
	}
}
