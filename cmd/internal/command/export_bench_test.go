package command

import (
	"context"
	"os"
	"testing"

	"rigline/export/report"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// BenchmarkHandOff makes every file of a hand-off, without the check before it. RIG
// names a project file; without it, a sample is taken.
func BenchmarkHandOff(b *testing.B) {
	data := projects.Samples()[0].Data
	if path := os.Getenv("RIG"); path != "" {
		var err error
		if data, err = os.ReadFile(path); err != nil {
			b.Fatal(err)
		}
	}
	doc, index, err := projects.Read("rig.yaml", data)
	if err != nil {
		b.Fatal(err)
	}
	r, err := rules.Check(context.Background(), doc, checks.All)
	if err != nil {
		b.Fatal(err)
	}
	for b.Loop() {
		if _, err := handOff(doc, r, "rig", report.Of(r, "rig.yaml", index), func(string) {}); err != nil {
			b.Fatal(err)
		}
	}
}
