package checks

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
)

// limit is a figure of a rule's want-file at which the rule changes its mind. Within and
// at the limit it is content, beyond it speaks, and what is not known is asked for.
type limit struct {
	rule                    string
	on                      components.ID
	key                     string
	within, exactly, beyond float64
	says                    string // "violation F1": the level and place of what is told beyond
	// speaksAt tells that the limit itself is beyond, where the clause says "or more".
	speaksAt bool
	from     string // where the limit comes from
}

// limits are held one figure at a time on the rig of testdata/rules that is named like
// the rule. The last digit is as fine as a person reads it off a label.
var limits = []limit{
	{rule: "overcurrent.source-distance", on: "W7", key: "length_ft", within: 1.49, exactly: 1.5, beyond: 1.51, says: "violation F1", from: "552.10(E)(4): 18 in, published"},
	{rule: "overcurrent.source-distance", on: "W7", key: "length_ft", within: 5.99, exactly: 6, beyond: 6.01, says: "danger F1", from: "ABYC E-11 11.10: 72 in at most, published"},
	{rule: "battery.voltage-class", on: "INV1", key: "dc_high_v", within: 14.7, exactly: 14.6, beyond: 14.59, says: "danger INV1", from: "LFP data sheets: 4 cells at 3.65 V, published"},
	{rule: "battery.bms-discharge-limit", on: "BAT1", key: "discharge_a", within: 212, exactly: 211.65, beyond: 211, says: "violation BAT1", from: "2000 VA ÷ (0.9 × 10.5 V) = 211.64 A"},
	{rule: "battery.c-rate-limit", on: "BAT1", key: "capacity_ah", within: 126, exactly: 125, beyond: 124, says: "violation BAT1", from: "AGM: 0.4 of the capacity an hour, from memory; 50 A"},
	{rule: "battery.c-rate-limit", on: "INV1", key: "charge_a", within: 39, exactly: 40, beyond: 40.1, says: "violation BAT1", from: "AGM: 0.4 × 100 Ah, from memory"},
	{rule: "overcurrent.every-source-end", on: "F1", key: "rating_a", within: 119, exactly: 120, beyond: 121, says: "danger W20", from: "183.455(c): 150 % of 80 A, published"},
	{rule: "overcurrent.every-source-end", on: "W20", key: "length_ft", within: 1.4, exactly: 1.5, beyond: 1.51, says: "danger W20", from: "552.10(E)(4): 18 in, published"},
	{rule: "overcurrent.two-source-both-ends", on: "F1", key: "rating_a", within: 119, exactly: 120, beyond: 121, says: "danger W16", from: "183.455(c): 150 % of 80 A, published"},
	{rule: "overcurrent.two-source-both-ends", on: "W16", key: "length_ft", within: 1.4, exactly: 1.5, beyond: 1.51, says: "danger W16", from: "552.10(E)(4): 18 in, published"},
	{rule: "battery.bms-single-trip", on: "BAT1", key: "discharge_a", within: 212, exactly: 211.65, beyond: 211, says: "advice BAT1", from: "one of two strings left for 211.64 A, common practice"},
	{rule: "conductor.load-within-ampacity", on: "INV1", key: "continuous_va", within: 1600, exactly: 1606.5, beyond: 1610, says: "violation W10", from: "110.14(C): 75 °C column of 2 AWG, 170 A × 9.45 V"},
	{rule: "conductor.load-within-ampacity", on: "INV1", key: "continuous_va", within: 2400, exactly: 2480, beyond: 2482, says: "danger W10", from: "1.25 × 210 A × 9.45 V = 2480.6 VA, common practice"},
	{rule: "conductor.engine-space-derating", on: "INV1", key: "continuous_va", within: 1960, exactly: 1967.9, beyond: 1971, says: "violation W10", from: "Table 5 note 1: 0.85 × 245 A × 9.45 V, published"},
	{rule: "conductor.ambient-correction", on: "W10", key: "ambient_c", within: 48, exactly: 49, beyond: 49.3, says: "violation W10", from: "245 A × √((105 − 49) ÷ 75) = 211.7 A, published"},
	{rule: "conductor.bundle-derating", on: "INV1", key: "continuous_va", within: 1800, exactly: 1814.4, beyond: 1818, says: "violation W10", from: "183.435(b): 0.60 × 80 A × 37.8 V, published"},
	{rule: "conductor.bundle-derating", on: "BAT1", key: "nominal_v", within: 49.9, exactly: 50, beyond: 51, says: "violation W10", speaksAt: true, from: "183.435(b): from 50 V on, published"},
	{rule: "overcurrent.rating-within-ampacity", on: "F1", key: "rating_a", within: 314, exactly: 315, beyond: 316, says: "danger W8", from: "183.455(c): 150 % of 210 A, published"},
	{rule: "overcurrent.rating-within-ampacity", on: "F1", key: "rating_a", within: 210, exactly: 225, beyond: 226, says: "advice W8", from: "240.4(B), 240.6: 225 A follows 210 A, published"},
	{rule: "overcurrent.rating-above-continuous", on: "F1", key: "rating_a", within: 265, exactly: 264.56, beyond: 264, says: "violation F1", from: "706.21(B): 1.25 × 211.64 A, published"},
	{rule: "overcurrent.voltage-rating", on: "SW1", key: "volts_dc", within: 15, exactly: 14.6, beyond: 14.59, says: "danger SW1", from: "183.455(d): not below 14.6 V, published"},
	{rule: "overcurrent.main-within-supply", on: "PNL1", key: "main_a", within: 29, exactly: 30, beyond: 31, says: "danger PNL1.main", from: "551.45(C): not above the 30 A inlet, from memory"},
	{rule: "overcurrent.appliance-limit", on: "LD1", key: "va", within: 1595, exactly: 1596, beyond: 1597, says: "violation PNL1.c1", speaksAt: true, from: "551.43(A): 13.3 A or more, published in the parallel clause"},
	{rule: "conductor.heat-and-bundling", on: "W5", key: "ambient_c", within: 49, exactly: 50, beyond: 50.1, says: "violation W5", from: "Table 310.15(B)(1): 46 to 50 °C and 51 to 55 °C, published"},
	{rule: "overcurrent.inverter-fault-level", on: "INV1", key: "fault_a", within: 76, exactly: 75, beyond: 74, says: "advice INV1", from: "5 × 15 A, common practice"},
	{rule: "transfer.rating-not-below-feed", on: "TS1", key: "rating_a", within: 31, exactly: 30, beyond: 29.9, says: "danger TS1", from: "110.3(B): not below the 30 A ahead, from memory"},
	{rule: "panel.rating-covers-supply", on: "PNL1", key: "bus_a", within: 41, exactly: 40, beyond: 39, says: "violation PNL1", from: "408.36: not below the main of 40 A, from memory"},
	{rule: "panel.single-120v-neutral-bus", on: "PNL1", key: "neutral_bar_a", within: 31, exactly: 30, beyond: 29, says: "danger PNL1", from: "710.15(C): 15 A on either leg, published"},
	{rule: "gfci.rcd-230v", on: "PNL1", key: "main_trip_ma", within: 10, exactly: 30, beyond: 30.1, says: "danger SH1", from: "721.415: 30 mA or less, published"},
	{rule: "inverter.output-assist-sum", on: "INV1", key: "continuous_va", within: 700, exactly: 720, beyond: 722, says: "danger W4", from: "24 A + 720 VA ÷ 120 V = 30 A of 10 AWG"},
	{rule: "inverter.output-assist-sum", on: "W4", key: "length_ft", within: 9.9, exactly: 10, beyond: 10.1, says: "danger W4", from: "240.21(B)(1): a tap of 10 ft, from memory"},
	{rule: "inverter.input-limit", on: "INV1", key: "input_limit_a", within: 19, exactly: 20, beyond: 20.1, says: "violation INV1", from: "210.20(A), 210.23: the breaker of 20 A, published"},
	{rule: "inverter.input-limit", on: "INV1", key: "input_limit_a", within: 15, exactly: 16, beyond: 16.1, says: "advice INV1", from: "210.20(A): 80 % of 20 A, published"},
	{rule: "generator.leads-115-percent", on: "GEN1", key: "rating_va", within: 4170, exactly: 4173.9, beyond: 4176, says: "violation W14", from: "445.13: 40 A × 120 V ÷ 1.15, published"},
	{rule: "load.in-phase-shared-neutral", on: "GEN1", key: "breaker_a", within: 14, exactly: 15, beyond: 16, says: "danger W2", from: "310.16: 2 × 15 A on 10 AWG, published"},
	{rule: "load.inverter-capacity", on: "INV1", key: "continuous_va", within: 3301, exactly: 3300, beyond: 3299, says: "advice INV1", from: "710.15(A): 600 + 1500 + 1200 VA, published"},
	{rule: "load.inverter-capacity", on: "INV1", key: "continuous_va", within: 1501, exactly: 1500, beyond: 1499, says: "violation INV1", from: "710.15(A): the largest load alone, published"},
	{rule: "solar.cold-voc-limit", on: "CC1", key: "max_pv_v", within: 121, exactly: 120.8768, beyond: 120.8, says: "danger CC1", from: "690.7(A): 4 × 27.2 V × (1 + 0.003 × 37), published"},
	{rule: "solar.hot-vmp-minimum", on: "PV1", key: "vmp_v", within: 19.1, exactly: 19.0244, beyond: 19, says: "advice PV1", from: "(14.6 + 1) V ÷ 0.82, common practice"},
	{rule: "solar.conductor-156-percent", on: "PV1", key: "isc_a", within: 7.9, exactly: 8, beyond: 8.01, says: "violation W15", from: "690.8(B): 1.5625 × what 12 AWG carries, published"},
	{rule: "solar.string-fusing", on: "PV1", key: "max_fuse_a", within: 23, exactly: 22, beyond: 21.9, says: "danger PV1", from: "690.9(A): 2 × 1.25 × 8.8 A, published"},
	{rule: "solar.controller-output-protection", on: "CC1", key: "output_a", within: 63, exactly: 64, beyond: 64.2, says: "violation W16", from: "690.8(B): 80 A ÷ 1.25, published"},
	{rule: "busbar.rating", on: "BUS1", key: "rating_a", within: 170, exactly: 169.32, beyond: 169, says: "danger BUS1", from: "211.64 A ÷ 1.25, common practice"},
	{rule: "busbar.rating", on: "BUS1", key: "rating_a", within: 212, exactly: 211.65, beyond: 211, says: "violation BUS1", from: "2000 VA ÷ (0.9 × 10.5 V)"},
	{rule: "shunt.rating", on: "SHT1", key: "rating_a", within: 212, exactly: 211.65, beyond: 211, says: "violation SHT1", from: "2000 VA ÷ (0.9 × 10.5 V)"},
	{rule: "shunt.rating", on: "SHT1", key: "rating_a", within: 318, exactly: 317.47, beyond: 317, says: "advice SHT1", from: "two thirds of its rating, common practice"},
	{rule: "disconnect.rating", on: "SW9", key: "rating_a", within: 212, exactly: 211.65, beyond: 211, says: "violation SW9", from: "552.10(F): not below 211.64 A, published"},
	{rule: "disconnect.precharge", on: "INV1", key: "continuous_va", within: 1499, exactly: 1500, beyond: 1501, says: "advice INV1", speaksAt: true, from: "from 1.5 kW on, common practice"},
	{rule: "charger.total-current-limit", on: "BAT1", key: "charge_a", within: 71, exactly: 70, beyond: 69.9, says: "violation BAT1", from: "50 A + 20 A, data sheets"},
	{rule: "alternator.lithium-overload", on: "ALT1", key: "rating_a", within: 95, exactly: 94.82, beyond: 94.7, says: "violation ALT1", from: "2 × 40 A × 14.4 V ÷ (0.9 × 13.5 V), common practice"},
	{rule: "inverter-dc.cutoff-coordination", on: "INV1", key: "dc_high_v", within: 14.9, exactly: 14.8, beyond: 14.79, says: "violation INV1", from: "14.6 V + 0.2 V, common practice"},
	{rule: "energy.autonomy-bank-size", on: "BAT1", key: "autonomy_days", within: 1.7, exactly: 1.799, beyond: 1.81, says: "advice BAT1", from: "2.5 d × 400 Ah ÷ 555.6 Ah"},
	{rule: "cord.230v-lead-and-wiring", on: "W1", key: "length_ft", within: 26 / 0.3048, exactly: 27 / 0.3048, beyond: 27.1 / 0.3048, says: "violation SH1.out", from: "Table 721.1: 25 m ± 2 m, published"},
	{rule: "inlet.230v-inlet-and-isolator", on: "INL1", key: "height_m", within: 1.7, exactly: 1.8, beyond: 1.81, says: "violation INL1.site", from: "721.55: 1.8 m at most, published"},
}

func TestLimits(t *testing.T) {
	for _, l := range limits {
		t.Run(fmt.Sprintf("%s/%s.%s %v", l.rule, l.on, l.key, l.exactly), func(t *testing.T) {
			doc := load(t, filepath.Join("../../testdata/rules", l.rule+".yaml"))
			speaks := func(v float64) bool {
				next, err := doc.Apply(num(l.on, l.key, v))
				require.NoError(t, err)
				for _, f := range check(t, next).All() {
					if f.Rule.ID == l.rule && fmt.Sprintf("%s %s", f.Level, f.At) == l.says {
						return true
					}
				}
				return false
			}
			assert.False(t, speaks(l.within), "within, at %v: %s", l.within, l.from)
			assert.Equal(t, l.speaksAt, speaks(l.exactly), "at %v: %s", l.exactly, l.from)
			assert.True(t, speaks(l.beyond), "beyond, at %v: %s", l.beyond, l.from)
			if goesQuiet[l.rule] != "" {
				return
			}
			before := check(t, doc)
			next, err := doc.Apply(unknown(l.on, l.key))
			require.NoError(t, err)
			after := check(t, next)
			for _, f := range after.All() {
				if f.Rule.ID == l.rule && fmt.Sprintf("%s %s", f.Level, f.At) == l.says {
					return // an unknown counts as beyond
				}
			}
			assert.True(t, asksAt(after, before, l.on, l.key), "%s of %s not known: nothing asks for it", l.key, l.on)
		})
	}
}
