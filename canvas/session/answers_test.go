package session

import (
	"context"
	"fmt"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/projects"
	"rigline/rules"
	"rigline/rules/checks"
)

// A set of answers draws a sheet that reads back, with nothing on top of
// anything, and with no danger drawn into it: what is unknown is named, and what
// is wired is wired right.
func TestFirstSheets(t *testing.T) {
	supplies := append([]string{""}, components.Services...)
	inverters := []string{"", components.Inverter.ID, components.InverterCharger.ID}
	n := 0
	for i, supply := range supplies {
		for j, inverter := range inverters {
			for k := range 2 {
				if (i+j+k)%3 == 0 { // a part of the combinations says enough
					continue
				}
				a := Answers{Supply: supply, Inverter: inverter, Generator: (i+j+k)%2 == 1, Chemistry: "lfp", BankV: 12.8 * float64(1+k), Solar: k == 1, Alternator: (i+k)%2 == 0, ACCircuits: 1 + i%3, Outlets: 1 + j, DCCircuits: 2 * k}
				t.Run(fmt.Sprintf("%s/%s/%d", supply, inverter, k), func(t *testing.T) {
					doc, err := FirstSheet(a)
					require.NoError(t, err)
					data := projects.Write(doc)
					_, _, err = projects.Read("first.yaml", data)
					require.NoError(t, err)
					report, err := rules.Check(context.Background(), doc, checks.All)
					require.NoError(t, err)
					for _, f := range report.Findings {
						assert.NotEqual(t, rules.Danger, f.Level, "%s at %s: %s", f.Rule.ID, f.At, f.Message)
					}
				})
				n++
			}
		}
	}
	assert.Equal(t, 28, n)
}
