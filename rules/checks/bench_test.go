package checks

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/rulestest"
)

// BenchmarkCheck runs every rule in every state of a usual rig.
func BenchmarkCheck(b *testing.B) {
	rules.Roomy()
	doc, err := rulestest.Sixty("../..")
	require.NoError(b, err)
	b.ReportAllocs()
	for b.Loop() {
		check(b, doc)
	}
}

// BenchmarkCheckEdit does the same after an edit of one figure, of a run, a fuse, a
// load and a battery, each check out of the one before.
func BenchmarkCheckEdit(b *testing.B) {
	rules.Roomy()
	doc, err := rulestest.Sixty("../..")
	require.NoError(b, err)
	for _, of := range []struct {
		on   components.ID
		key  string
		from float64
		step float64
	}{
		{"W19", "length_ft", 4, 0.01},
		{"F1", "rating_a", 200, 0},
		{"LD4", "va", 900, 1},
		{"BAT1", "capacity_ah", 400, 0.1},
	} {
		b.Run(string(of.on)+"."+of.key, func(b *testing.B) {
			doc, report, value := doc, check(b, doc), of.from
			for i := 0; b.Loop(); i++ {
				if value += of.step; of.step == 0 {
					value = of.from + 25*float64(i%2)
				}
				next, err := doc.Apply(components.Set{On: of.on, Key: of.key, Value: components.Num(value)})
				require.NoError(b, err)
				report, err = rules.CheckNext(context.Background(), report, next, All)
				require.NoError(b, err)
			}
		})
	}
}

// BenchmarkCheckMany does it on rigs of a thousand and of ten thousand parts.
func BenchmarkCheckMany(b *testing.B) {
	rules.Roomy()
	for _, n := range []int{1000, 10_000} {
		doc, err := rulestest.Fleet(n)
		require.NoError(b, err)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				check(b, doc)
			}
		})
	}
}

// The rig that the speed is measured on is as sound as any.
func TestTheUsualRigIsSound(t *testing.T) {
	doc, err := rulestest.Sixty("../..")
	require.NoError(t, err)
	require.Len(t, doc.Parts(), 60)
	for _, f := range check(t, doc).Findings {
		require.NotContains(t, []rules.Level{rules.Danger, rules.Violation}, f.Level, "%s: %s", f.Rule, f.Message)
	}
}
