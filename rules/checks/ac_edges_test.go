package checks

import (
	"fmt"
	"path/filepath"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/rules"
)

// tells lists what one rule tells of a rig, as "danger W2" or "unchecked W2".
func tells(t *testing.T, doc *components.Document, rule *rules.Rule) []string {
	t.Helper()
	r := check(t, doc)
	lines := []string{}
	for _, f := range r.All() {
		if f.Rule == rule {
			lines = append(lines, fmt.Sprintf("%s %s", f.Level, f.At))
		}
	}
	for _, f := range r.Unchecked {
		if f.Rule == rule {
			lines = append(lines, "unchecked "+f.At)
		}
	}
	return lines
}

// withRows is the edit that gives a panel its circuits.
func withRows(panel components.ID, rows ...components.Spec) components.Edit {
	return set(panel, "circuits", components.Table(rows...))
}

func circuitRow(leg string, breaker float64, more ...any) components.Spec {
	s := components.Spec{"breaker_a": components.Num(breaker)}
	if leg != "" {
		s["leg"] = components.Str(leg)
	}
	for i := 0; i+1 < len(more); i += 2 {
		switch v := more[i+1].(type) {
		case bool:
			s[more[i].(string)] = components.Yes(v)
		case string:
			s[more[i].(string)] = components.Str(v)
		}
	}
	return s
}

func amount(v float64) components.Value { return components.Num(v) }

func wordOf(v string) components.Value { return components.Str(v) }

func keptOff(states []components.State, id components.ID) components.Edit {
	next := make([]components.State, len(states))
	for i, s := range states {
		next[i] = s
		next[i].Off = []components.ID{id}
	}
	return components.SetStates{States: next}
}

// Each row changes a rig in one point and says what the rule makes of it, with
// the source of the answer.
func TestEdgesOfACRules(t *testing.T) {
	holdRows(t, []edgeRow{
		{"inlet.feeder-30a", Feeder30, "10 AWG", []components.Edit{set("W2", "size", wordOf("10 AWG"))}, none, "310.16, 60 °C: 10 AWG 30 A"},
		{"inlet.feeder-30a", Feeder30, "12 AWG at 75 °C terminals", []components.Edit{set("W2", "terminal_c", amount(75))}, []string{"danger W2"}, "310.16, 75 °C: 25 A, and 240.4(D) 20 A"},
		{"inlet.feeder-30a", Feeder30, "not told", []components.Edit{set("W2", "size", components.Unknown)}, []string{"unchecked W2"}, "nothing to look up"},
		{"inlet.feeder-30a", Feeder30, "no site drawn", []components.Edit{components.RemoveRun{ID: "W1"}, components.RemovePart{ID: "SH1"}}, []string{"danger W2"}, "the inlet decides, not the site of today"},
		{"inlet.feeder-50a", Feeder50, "6 AWG", []components.Edit{set("W2", "size", wordOf("6 AWG"))}, none, "310.16, 60 °C: 6 AWG 55 A"},
		{"inlet.feeder-50a", Feeder50, "8 AWG at 75 °C", []components.Edit{set("W2", "cable", wordOf("tray-90")), set("W2", "terminal_c", amount(75))}, none, "310.16, 75 °C: 8 AWG 50 A"},
		{"inlet.feeder-50a", Feeder50, "8 AWG sheathed at 75 °C", []components.Edit{set("W2", "terminal_c", amount(75))}, []string{"danger W2"}, "334.80: 60 °C column, 40 A"},

		{"generator.leads-115-percent", GeneratorLeads, "6 AWG", []components.Edit{set("W14", "size", wordOf("6 AWG"))}, none, "445.13: 1.15 × 45.8 A = 52.7 A < 55 A"},
		{"generator.leads-115-percent", GeneratorLeads, "own breaker", []components.Edit{set("GEN1", "output_breaker", components.Yes(true))}, none, "445.13 ends at the first device"},
		{"generator.leads-115-percent", GeneratorLeads, "power not told", []components.Edit{set("GEN1", "rating_va", components.Unknown)}, []string{"unchecked GEN1"}, "no nameplate"},
		{"generator.leads-115-percent", GeneratorFeeder, "breaker at the end", nil, none, "240.21: CB1 stands at the end of the leads"},
		{"generator.feeder-protection", GeneratorFeeder, "not told", []components.Edit{set("GEN1", "output_breaker", components.Yes(true)), set("GEN1", "breaker_a", components.Unknown)}, []string{"unchecked GEN1"}, "a breaker of unknown rating"},
		{"generator.feeder-protection", GeneratorFeeder, "whether there is one is unknown", []components.Edit{set("GEN1", "output_breaker", components.Unknown)}, []string{"unchecked GEN1"}, "nothing known of a breaker"},
		{"generator.feeder-protection", GeneratorFeeder, "own breaker", []components.Edit{set("GEN1", "output_breaker", components.Yes(true))}, none, "445.12"},

		{"receptacle.rating-fits-circuit", ReceptacleFits, "15 A on 20 A", []components.Edit{withRows("PNL1", circuitRow("", 15), circuitRow("", 20, "gfci", true))}, none, "Table 210.21(B)(3)"},
		{"receptacle.rating-fits-circuit", ReceptacleFits, "one 15 A alone on 20 A", []components.Edit{withRows("PNL1", circuitRow("", 15), circuitRow("", 20, "gfci", true)), set("R1", "outlets", amount(1))}, []string{"violation R1"}, "210.21(B)(1): not below the circuit"},
		{"receptacle.rating-fits-circuit", ReceptacleFits, "30 A on 30 A", []components.Edit{set("R1", "rating_a", amount(30))}, none, "Table 210.21(B)(3)"},
		{"receptacle.rating-fits-circuit", ReceptacleFits, "20 A on 15 A, number not told", []components.Edit{withRows("PNL1", circuitRow("", 15), circuitRow("", 15, "gfci", true)), set("R1", "rating_a", amount(20))}, []string{"unchecked R1"}, "210.21(B)(1) allows it alone"},
		{"receptacle.rating-fits-circuit", ReceptacleFits, "two of 20 A on 15 A", []components.Edit{withRows("PNL1", circuitRow("", 15), circuitRow("", 15, "gfci", true)), set("R1", "rating_a", amount(20)), set("R1", "outlets", amount(2))}, []string{"violation R1"}, "Table 210.21(B)(3)"},
		{"receptacle.rating-fits-circuit", ReceptacleFits, "50 A on 40 A", []components.Edit{withRows("PNL1", circuitRow("", 15), circuitRow("", 40, "gfci", true)), set("R1", "rating_a", amount(50)), set("W14", "size", wordOf("8 AWG")), set("R1", "outlets", amount(2))}, none, "Table 210.21(B)(3)"},
		{"receptacle.rating-fits-circuit", ReceptacleFits, "not told", []components.Edit{set("R1", "rating_a", components.Unknown)}, []string{"unchecked R1"}, "no rating"},

		{"inverter.output-assist-sum", AssistSum, "no boost", []components.Edit{set("INV1", "boost", components.Yes(false))}, none, "passes 24 A alone"},
		{"inverter.output-assist-sum", AssistSum, "6 AWG", []components.Edit{set("W4", "size", wordOf("6 AWG"))}, none, "24 A + 3000 VA ÷ 120 V = 49 A < 55 A"},
		{"inverter.output-assist-sum", AssistSum, "10 ft to the main", []components.Edit{set("W4", "length_ft", amount(10))}, none, "240.21(B)(1): a tap of 10 ft"},
		{"inverter.output-assist-sum", AssistSum, "just longer", []components.Edit{set("W4", "length_ft", amount(10.1))}, []string{"danger W4"}, "240.21(B)(1)"},
		{"inverter.output-assist-sum", AssistSum, "power not told", []components.Edit{set("INV1", "continuous_va", components.Unknown)}, []string{"unchecked INV1"}, "the sum is open"},

		{"inverter.input-limit", InputLimit, "80 %", []components.Edit{set("INV1", "input_limit_a", amount(16))}, none, "210.20(A): 0.8 × 20 A"},
		{"inverter.input-limit", InputLimit, "all of it for hours", []components.Edit{set("INV1", "input_limit_a", amount(20))}, []string{"advice INV1"}, "200 Ah at 50 A is 4 h"},
		{"inverter.input-limit", InputLimit, "all of it for two hours", []components.Edit{set("INV1", "input_limit_a", amount(20)), set("INV1", "charge_a", amount(100))}, none, "200 Ah at 100 A is 2 h: not continuous"},
		{"inverter.input-limit", InputLimit, "not told", []components.Edit{set("INV1", "input_limit_a", components.Unknown)}, []string{"unchecked INV1"}, "the relay passes 30 A"},
		{"inverter.input-breaker", InputBreaker, "input rating below its breaker", []components.Edit{set("INV1", "input_a", amount(20))}, []string{"danger INV1"}, "110.3(B): 20 A behind 30 A"},
		{"clean", InputBreaker, "own breaker", []components.Edit{set("INV1", "input_a", amount(30))}, none, "30 A behind 30 A"},
		{"inverter.listed-for-vehicles", VehicleListed, "UL 458", []components.Edit{set("INV1", "listing", wordOf("ul-458"))}, none, "551.20(B)"},
		{"inverter.listed-for-vehicles", VehicleListed, "not told", []components.Edit{set("INV1", "listing", components.Value{})}, []string{"unchecked INV1"}, "the label is unread"},

		{"inverter.charger-not-on-own-output", ChargerLoop, "off while inverting", []components.Edit{keptOff([]components.State{{Name: "Shore", Shore: "30a-120", SoC: 0.5}, {Name: "Off grid", SoC: 0.5}}, "CHG1")}, none, "locked out"},
		{"inverter.charger-not-on-own-output", ChargerLoop, "a load for outside power", []components.Edit{components.RemoveRun{ID: "W16"}, set("LD1", "shore_only", components.Yes(true))}, []string{"violation LD1"}, "told to be for outside power; the charger no longer reaches the bank"},

		{"gfci.protected-locations", GFCILocations, "inside", []components.Edit{set("R1", "location", wordOf("inside"))}, none, "551.41(C) names other places"},
		{"gfci.protected-locations", GFCILocations, "beside a sink", []components.Edit{set("R1", "location", wordOf("sink"))}, []string{"violation R1"}, "551.41(C)"},
		{"gfci.protected-locations", GFCILocations, "not told", []components.Edit{set("R1", "location", components.Value{})}, []string{"unchecked R1"}, "where it is decides"},
		{"gfci.protected-locations", GFCILocations, "protected breaker", []components.Edit{withRows("PNL1", circuitRow("", 15), circuitRow("", 20, "gfci", true))}, none, "551.41(C)"},
		{"gfci.protected-locations", GFCILocations, "30 A outlet", []components.Edit{set("R1", "rating_a", amount(30))}, none, "551.41(C): 15 and 20 A"},
		{"gfci.protected-locations", GFCILocations, "inverter's manual asks for it", []components.Edit{set("R1", "location", wordOf("inside")), set("INV1", "output_gfci", components.Yes(true))}, []string{"violation R1"}, "UL 458 listing"},
		{"gfci.site-receptacle-trip", SiteGFCITrip, "one bond", []components.Edit{set("PNL1", "neutral_bonded", components.Yes(false))}, none, "1 mA + 0.5 mA < 4 mA"},
		{"gfci.site-receptacle-trip", SiteGFCITrip, "just below", []components.Edit{set("PNL1", "neutral_bonded", components.Yes(false)), set("INV1", "leakage_ma", amount(3.4))}, none, "3.4 + 0.5 = 3.9 mA < 4 mA"},
		{"gfci.site-receptacle-trip", SiteGFCITrip, "at 4 mA", []components.Edit{set("PNL1", "neutral_bonded", components.Yes(false)), set("INV1", "leakage_ma", amount(3.5))}, []string{"violation SH1"}, "UL 943: may trip from 4 mA"},
		{"gfci.site-receptacle-trip", SiteGFCITrip, "not told", []components.Edit{set("PNL1", "neutral_bonded", components.Yes(false)), set("INV1", "leakage_ma", components.Value{})}, []string{"unchecked SH1"}, "up to 3.5 + 0.5 mA"},
		{"gfci.site-receptacle-trip", SiteGFCITrip, "a small appliance not told", []components.Edit{set("PNL1", "neutral_bonded", components.Yes(false)), set("LD1", "leakage_ma", components.Value{})}, none, "1 mA + at most 0.75 mA"},

		{"cord.ampacity", CordAmpacity, "10 AWG", []components.Edit{set("W1", "size", wordOf("10 AWG"))}, none, "551.46"},
		{"cord.ampacity", CordAmpacity, "12 AWG at a 20 A outlet", []components.Edit{set("SH1", "service", wordOf("20a-120"))}, none, "the outlet gives 20 A"},
		{"cord.ampacity", CordAmpacity, "sheathed building cable", []components.Edit{set("W1", "cable", wordOf("nm-b")), set("W1", "size", wordOf("10 AWG"))}, []string{"violation W1"}, "551.46: a flexible cord"},
		{"cord.ampacity", CordAmpacity, "not told", []components.Edit{set("W1", "size", components.Unknown)}, []string{"unchecked W1"}, "unread jacket"},
		{"cord.adapter-changes-protection", CordAdapter, "a main of 30 A", []components.Edit{set("PNL1", "main_a", amount(30))}, []string{"advice W1"}, "551.45(C): the main watches the overload"},
		{"cord.adapter-changes-protection", CordAdapter, "a main of 40 A", []components.Edit{set("PNL1", "main_a", amount(40))}, []string{"danger W1"}, "above the cord's 30 A"},
		{"cord.adapter-changes-protection", CordAdapter, "main not told", []components.Edit{set("PNL1", "main_a", components.Unknown)}, []string{"unchecked INL1"}, "rating unread"},

		{"labelling.inlet-and-sources", SourceLabels, "no plate", []components.Edit{set("INL1", "plate", wordOf("none"))}, []string{"violation INL1"}, "551.46(D)"},
		{"labelling.inlet-and-sources", SourceLabels, "matches", []components.Edit{set("INL1", "plate", wordOf("30a-120"))}, none, "551.46(D)"},
		{"labelling.panel-directory", PanelDirectory, "named", []components.Edit{withRows("PNL1", circuitRow("", 15, "label", "Fridge"))}, none, "408.4(A)"},
		{"labelling.panel-directory", PanelDirectory, "no name", []components.Edit{withRows("PNL1", circuitRow("", 15))}, []string{"advice PNL1.c1"}, "408.4(A)"},
		{"load.demand-within-main", DemandWithinMain, "two never with each other", []components.Edit{set("LD2", "never_with", wordOf("heat")), set("LD3", "never_with", wordOf("heat"))}, none, "220.60: the larger alone"},
		{"load.demand-within-main", DemandWithinMain, "not for hours", []components.Edit{set("LD2", "va", amount(1600)), set("LD2", "continuous", components.Yes(false)), set("LD3", "continuous", components.Yes(false)), set("LD4", "continuous", components.Yes(false))}, none, "600 + 1600 + 2 × 1800 VA = 48.3 A"},
		{"load.inverter-capacity", InverterCapacity, "fits", []components.Edit{set("LD2", "va", amount(200))}, none, "600 + 200 + 1200 = 2000 VA"},
		{"load.inverter-capacity", InverterCapacity, "one load alone too large", []components.Edit{set("LD2", "va", amount(2100))}, []string{"violation INV1"}, "710.15(A)"},
		{"load.inverter-capacity", InverterCapacity, "starts within the surge", []components.Edit{set("LD2", "va", amount(200)), set("LD1", "start_va", amount(1600)), set("INV1", "surge_va", amount(3000))}, none, "1400 + 1600 = 3000 VA"},
		{"load.inverter-capacity", InverterCapacity, "starts above the surge", []components.Edit{set("LD2", "va", amount(200)), set("LD1", "start_va", amount(1601)), set("INV1", "surge_va", amount(3000))}, []string{"advice INV1"}, "1400 + 1601 > 3000 VA"},
		{"load.240v-needs-split-phase", SplitPhase, "120 V", []components.Edit{components.RemoveRun{ID: "W14"}, set("LD2", "hots", amount(1))}, none, "one leg feeds it"},
		{"inverter.leg-topology", LegTopology, "own neutral", []components.Edit{components.RemoveRun{ID: "W15"}, components.Reroute{ID: "W14", From: components.PortRef{Part: "PNL1", Port: "c2"}, To: components.PortRef{Part: "LD2", Port: "in"}}}, none, "710.15(C): two-wire circuits"},
		{"inlet.matches-assembly", InletMatches, "main above the inlet", []components.Edit{components.RemoveRun{ID: "W14"}, set("CB1", "rating_a", amount(40))}, []string{"violation CB1"}, "551.45(C): 40 A behind 30 A"},
		{"inlet.matches-assembly", InletMatches, "main below the inlet", []components.Edit{components.RemoveRun{ID: "W14"}, set("CB1", "rating_a", amount(20))}, []string{"advice CB1"}, "safe, and wasteful"},
		{"inlet.matches-assembly", InletMatches, "one inlet", []components.Edit{components.RemoveRun{ID: "W14"}}, none, "551.44"},
		{"gfci.rcd-230v", RCD230, "30 mA, line and neutral", []components.Edit{set("PNL1", "main_trip_ma", amount(30))}, none, "721.415"},
		{"gfci.rcd-230v", RCD230, "just above", []components.Edit{set("PNL1", "main_trip_ma", amount(31))}, []string{"danger SH1"}, "721.415: 30 mA or less"},
		{"gfci.rcd-230v", RCD230, "30 mA, line alone", []components.Edit{set("PNL1", "main_trip_ma", amount(30)), set("PNL1", "main_opens_neutral", components.Yes(false))}, []string{"danger SH1"}, "721.415: all live conductors"},
		{"gfci.rcd-230v", RCD230, "not told", []components.Edit{set("PNL1", "main_trip_ma", components.Unknown)}, []string{"unchecked PNL1"}, "unread device"},
		{"gfci.rcd-230v", RCD230, "a rig of the other rule set", []components.Edit{components.SetProject{Title: "x", Basis: components.USVehicle, Units: "us", AmbientC: 30, ConductorTempC: 75}}, none, "the rule belongs to the caravan's set"},
		{"gfci.rcd-230v", GFCINeutral, "neutral bonded behind the main", []components.Edit{set("PNL1", "main_trip_ma", amount(30)), set("PNL1", "neutral_bonded", components.Yes(true))}, []string{"violation PNL1.main"}, "the bond stands behind the device"},
		{"gfci.rcd-230v", NotInNeutral, "a final circuit of the line alone", []components.Edit{withRows("PNL1", circuitRow("", 10, "opens_neutral", true), circuitRow("", 6), circuitRow("", 10, "opens_neutral", true))}, []string{"violation PNL1.c2"}, "721.43"},
		{"inlet.230v-inlet-and-isolator", Inlet230, "at 1.8 m", []components.Edit{set("PNL1", "main_opens_neutral", components.Yes(true)), set("INL1", "height_m", amount(1.8))}, none, "721.55"},
		{"inlet.230v-inlet-and-isolator", Inlet230, "just above", []components.Edit{set("PNL1", "main_opens_neutral", components.Yes(true)), set("INL1", "height_m", amount(1.81))}, []string{"violation INL1.site"}, "721.55"},
		{"inlet.230v-inlet-and-isolator", Inlet230, "height not told", []components.Edit{set("PNL1", "main_opens_neutral", components.Yes(true)), set("INL1", "height_m", components.Value{})}, []string{"unchecked INL1"}, "a tape measure tells"},
		{"inlet.230v-inlet-and-isolator", Inlet230, "poles not told", []components.Edit{set("PNL1", "main_opens_neutral", components.Unknown)}, []string{"unchecked PNL1.main"}, "unread device"},
		{"inlet.230v-inlet-and-isolator", Inlet230, "no notice", []components.Edit{set("PNL1", "main_opens_neutral", components.Yes(true)), set("INL1", "plate", wordOf("none"))}, []string{"violation INL1.rig"}, "721.55"},
		{"cord.230v-lead-and-wiring", Lead230, "2.5 mm²", []components.Edit{set("W1", "size", wordOf("2.5 mm2"))}, none, "Table 721.1: 16 A"},
		{"cord.230v-lead-and-wiring", Lead230, "1 mm²", []components.Edit{set("W1", "size", wordOf("1 mm2"))}, []string{"danger W1"}, "below any section for 16 A"},
		{"cord.230v-lead-and-wiring", Lead230, "27 m", []components.Edit{set("W1", "size", wordOf("2.5 mm2")), set("W1", "length_ft", amount(27/0.3048))}, none, "25 m ± 2 m"},
		{"cord.230v-lead-and-wiring", Lead230, "28 m", []components.Edit{set("W1", "size", wordOf("2.5 mm2")), set("W1", "length_ft", amount(28/0.3048))}, []string{"violation SH1.out"}, "25 m ± 2 m"},
		{"cord.230v-lead-and-wiring", Lead230, "10 m", []components.Edit{set("W1", "size", wordOf("2.5 mm2")), set("W1", "length_ft", amount(10/0.3048))}, []string{"advice SH1.out"}, "short, and no weaker"},
		{"cord.230v-lead-and-wiring", Lead230, "fixed wire of 1 mm²", []components.Edit{set("W1", "size", wordOf("2.5 mm2")), set("W3", "size", wordOf("1 mm2"))}, []string{"violation W3"}, "721.52: 1.5 mm²"},
		{"cord.230v-lead-and-wiring", AmpacityCovers, "1.5 mm² behind 16 A in cool air", []components.Edit{withRows("PNL1", circuitRow("", 16, "opens_neutral", true), circuitRow("", 6), circuitRow("", 10))}, none, "B.52.2: 16.5 A"},
		{"cord.230v-lead-and-wiring", AmpacityCovers, "1.5 mm² behind 16 A at 40 °C", []components.Edit{withRows("PNL1", circuitRow("", 16, "opens_neutral", true), circuitRow("", 6), circuitRow("", 10)), set("W3", "ambient_c", amount(40))}, []string{"danger W3"}, "16.5 A × 0.87 = 14.3 A, and no rounding up"},
		{"cord.230v-lead-and-wiring", AmpacityCovers, "bundled", []components.Edit{set("W3", "with", amount(2))}, []string{"unchecked W3"}, "Table B.52.17 is not held"},
		{"cord.230v-lead-and-wiring", PanelDirectory, "green bond", []components.Edit{set("W6", "color", wordOf("green"))}, []string{"advice W6"}, "IEC 60445: green and yellow"},
		{"inverter.no-autotransformer", NoAutotransformer, "comes out", []components.Edit{components.Describe{ID: "AT1", Status: components.Remove}}, none, "a part marked remove is gone"},
		{"gfci.neutral-not-crossed", GFCINeutral, "plain breaker", []components.Edit{withRows("PNL1", circuitRow("", 15), circuitRow("", 15))}, none, "nothing sums the currents"},
	})
}

// edgeRow changes a rig in one point and says what one rule then tells, with the source
// of the answer.
type edgeRow struct {
	rig    string
	rule   *rules.Rule
	name   string
	edits  []components.Edit
	want   []string
	source string
}

// none is what a rule tells that is content.
var none = []string{}

func holdRows(t *testing.T, rows []edgeRow) {
	t.Helper()
	for _, r := range rows {
		t.Run(r.rule.ID+"/"+r.name, func(t *testing.T) {
			doc, err := load(t, filepath.Join("../../testdata/rules", r.rig+".yaml")).Apply(r.edits...)
			require.NoError(t, err)
			assert.ElementsMatch(t, r.want, tells(t, doc, r.rule), r.source)
		})
	}
}
