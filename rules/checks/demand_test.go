package checks

import (
	"testing"

	"github.com/stretchr/testify/assert"

	"rigline/components"
)

// The figure that is asked for is one that nobody has told.
func TestTheFigureAskedForIsNotTold(t *testing.T) {
	told := func(keys ...string) components.Part {
		p := components.Part{ID: "INV1", Kind: &components.InverterCharger, Spec: components.Spec{"charge_a": components.Unknown}}
		for _, k := range keys {
			p.Spec = p.Spec.With(k, components.Num(12))
		}
		return p
	}
	assert.Equal(t, "continuous_va", demandKey(told()))
	assert.Equal(t, "dc_v", demandKey(told("continuous_va")))
	assert.Equal(t, "charge_a", demandKey(told("continuous_va", "dc_v")))
	p := told("continuous_va")
	p.Kind = &components.Inverter
	assert.Equal(t, "dc_v", demandKey(p))
}
