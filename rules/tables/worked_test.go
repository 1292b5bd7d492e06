package tables

import (
	"fmt"
	"maps"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"gopkg.in/yaml.v3"

	"rigline/components/units"
)

// example is one worked example of testdata/worked.
type example struct {
	ID, Title, Source string
	Inputs, Expected  map[string]any
	TolerancePercent  float64 `yaml:"tolerance_percent"`
	ToleranceRel      float64 `yaml:"tolerance_rel"`
}

func (e example) num(key string) float64    { return number(e.Inputs[key]) }
func (e example) text(key string) string    { return fmt.Sprint(e.Inputs[key]) }
func (e example) amps(key string) units.Amp { return units.Amp(e.num(key)) }

func (e example) list(key string) []float64 {
	var all []float64
	for _, v := range e.Inputs[key].([]any) {
		all = append(all, number(v))
	}
	return all
}

func number(v any) float64 {
	switch v := v.(type) {
	case int:
		return float64(v)
	case float64:
		return v
	}
	panic(fmt.Sprintf("%v is no number", v))
}

// elsewhere lists what the tables do not answer: the reason, and the expected
// values that are left to the solver and the rules. No keys means all of them.
var elsewhere = map[string]struct {
	reason string
	keys   []string
}{
	"ac-w10": {"the neutral's current is a solved network's", nil},
	"ac-w11": {"the neutral's current is a solved network's; its limit is looked up here", []string{"neutral_A", "overload_ratio", "verdict"}},
	"ac-w12": {"phasors are the solver's", nil},
	"ac-w13": {"an open neutral is a solved network", nil},
	"ac-w17": {"demand and balance are sums over a document's loads", nil},
	"ac-w18": {"the shared current is a solved network's; the two resistances are looked up here", []string{"share", "ground_current_A", "neutral_for_6mA_mA"}},
	"ac-w19": {"a fault is a solved network; the cable's resistance is looked up here", []string{"transformer_fault_A", "X_transformer_ohm", "panel_fault_A", "interrupting_ok"}},
	"ac-w20": {"bonds are counted in a settled circuit", nil},
	"dc-w05": {"a fault is a solved network; the link's resistance follows from its gauge here", []string{"R_total_mohm", "I_sc_A"}},
	"dc-w06": {
		"a fault is a solved network; the bank's resistance and its devices are looked up here. The 6 kA of the flat fuse is a marking, not the family's figure",
		[]string{"I_terminals_A", "R_total_mohm", "I_sc_A", "anl_6kA_ok_at_end_of_cable"},
	},
	"dc-w15": {"a bank's limit is the sum of its blocks' own, which a rule adds up; the current is worked out here", []string{"limit_A", "ok_all", "ok_one_tripped"}},
	"dc-w20": {"sharing among parallel batteries is a solved network", nil},
}

// drivers works an example's expected values out with the look-ups of this package.
var drivers = map[string]func(t *testing.T, e example) map[string]any{
	"ac-w01": func(t *testing.T, e example) map[string]any {
		air := units.FromFahrenheit(e.num("ambient_F"))
		a := ac(t, ACQuery{Size: sizeOf(t, e.text("size")), InsulationC: e.num("insulation_C"), TerminalC: 90, AmbientC: float64(air), Carrying: int(e.num("carrying_count"))})
		limit, _ := SmallConductorCap(sizeOf(t, e.text("size")), Copper)
		return map[string]any{"ambient_C": float64(air), "factor": a.Corrected / a.Table, "ampacity_A": a.Corrected, "max_ocpd_A": limit.Amps}
	},
	"ac-w02": func(t *testing.T, e example) map[string]any {
		s := sizeOf(t, e.text("size"))
		a := ac(t, ACQuery{Size: s, InsulationC: e.num("insulation_C"), TerminalC: e.num("terminal_C"), AmbientC: e.num("ambient_C"), Carrying: int(e.num("carrying_count"))})
		terminal, err := TableAmpacity(s, Copper, units.Celsius(e.num("terminal_C")))
		require.NoError(t, err)
		limit, _ := SmallConductorCap(s, Copper)
		return map[string]any{"corrected_A": a.Corrected, "terminal_limit_A": terminal, "usable_A": a.Usable, "max_ocpd_A": limit.Amps}
	},
	"ac-w03": func(t *testing.T, e example) map[string]any {
		s := sizeOf(t, e.text("size"))
		formula, err := ThermalFactor(units.Celsius(e.num("insulation_C")), units.Celsius(e.num("ambient_C")))
		require.NoError(t, err)
		a := ac(t, ACQuery{Size: s, InsulationC: e.num("insulation_C"), TerminalC: 75, AmbientC: e.num("ambient_C"), Carrying: int(e.num("carrying_count"))})
		return map[string]any{"formula_factor": formula, "formula_ampacity_A": a.Table * formula, "table_factor": a.Corrected / a.Table, "table_ampacity_A": a.Corrected}
	},
	"ac-w04": func(t *testing.T, e example) map[string]any {
		var copper, aluminum []any
		for _, device := range e.list("ocpd_A") {
			cu, err := GroundSize(units.Amp(device), Copper)
			require.NoError(t, err)
			al, err := GroundSize(units.Amp(device), Aluminum)
			require.NoError(t, err)
			copper, aluminum = append(copper, cu), append(aluminum, al)
		}
		return map[string]any{"copper_AWG": copper, "aluminum_AWG": aluminum}
	},
	"ac-w05": func(t *testing.T, e example) map[string]any {
		base, err := GroundSize(e.amps("ocpd_A"), Copper)
		require.NoError(t, err)
		require.Equal(t, sizeOf(t, e.text("base_ground")), base)
		least := sizeOf(t, e.text("line_min")).Cmil()
		const fitted = 350e3 // 350 kcmil is beyond the sizes held
		require.Equal(t, "350 kcmil", e.text("line_actual"))
		ground, err := EnlargedGround(base, least, fitted)
		require.NoError(t, err)
		return map[string]any{"ratio": fitted / least, "required_cmil": base.Cmil() * fitted / least, "ground_AWG": ground}
	},
	"ac-w06": func(t *testing.T, e example) map[string]any {
		got := map[string]any{}
		for i, v := range e.Inputs["sizes"].([]any) {
			s := sizeOf(t, fmt.Sprint(v))
			require.Equal(t, e.list("cmil")[i], s.Cmil())
			drop, err := DropOver(e.num("K"), e.amps("load_A"), units.Foot(2*e.num("length_ft")), s.Cmil())
			require.NoError(t, err)
			percent := 100 * float64(drop) / e.num("nominal_V")
			got[fmt.Sprintf("drop_%vAWG_V", v)], got[fmt.Sprintf("drop_%vAWG_percent", v)], got[fmt.Sprintf("pass_3_percent_%vAWG", v)] = drop, percent, percent <= 3
		}
		return got
	},
	"ac-w07": func(t *testing.T, e example) map[string]any {
		drop := 2 * ohms(t, e.text("size"), e.num("length_ft"), false) * e.num("load_A")
		return map[string]any{"drop_V": drop, "drop_percent": 100 * drop / e.num("nominal_V"), "load_V": e.num("nominal_V") - drop}
	},
	"ac-w08": func(t *testing.T, e example) map[string]any {
		core := ohms(t, e.text("size"), e.num("length_ft"), false) * e.num("load_A")
		return map[string]any{
			"drop_240_V": 2 * core, "drop_240_percent": 200 * core / 240, "drop_balanced_leg_V": core, "drop_balanced_leg_percent": 100 * core / 120,
			"drop_one_leg_V": 2 * core, "drop_one_leg_percent": 200 * core / 120,
		}
	},
	"ac-w09": func(t *testing.T, e example) map[string]any {
		var drops []float64
		for _, s := range e.Inputs["segments"].([]any) {
			seg := s.(map[string]any)
			size, solid := fmt.Sprint(seg["size"]), false
			if n := len(size) - len(" solid"); n > 0 && size[n:] == " solid" {
				size, solid = size[:n], true
			}
			drops = append(drops, 2*ohms(t, size, number(seg["length_ft"]), solid)*number(seg["load_A"]))
		}
		total, v := drops[0]+drops[1]+drops[2], e.num("nominal_V")
		return map[string]any{
			"drop_cord_V": drops[0], "drop_feeder_V": drops[1], "drop_branch_V": drops[2], "drop_total_V": total,
			"drop_branch_percent": 100 * drops[2] / v, "drop_total_percent": 100 * total / v,
			"pass_3_percent_branch": 100*drops[2]/v <= 3, "pass_5_percent_total": 100*total/v <= 5,
		}
	},
	"ac-w11": func(t *testing.T, e example) map[string]any {
		limit, _ := SmallConductorCap(sizeOf(t, e.text("neutral_size")), Copper)
		return map[string]any{"neutral_limit_A": limit.Amps}
	},
	"ac-w14": func(t *testing.T, e example) map[string]any {
		r, x, err := ConduitImpedance(sizeOf(t, e.text("size")), Copper, SteelConduit, 1000)
		require.NoError(t, err)
		z := effective(float64(r), float64(x), e.num("power_factor"))
		drop := 2 * e.num("length_ft") / 1000 * z * e.num("load_A")
		return map[string]any{"Z_ohm_per_kft": z, "drop_V": drop, "drop_percent": 100 * drop / e.num("nominal_V")}
	},
	"ac-w15": func(t *testing.T, e example) map[string]any {
		got := map[string]any{}
		for _, v := range e.list("voltages_V") {
			nameplate := e.num("power_W") / e.num("power_factor") / v
			need := 1.15 * nameplate // NEC 445.13
			got[fmt.Sprintf("nameplate_%v_A", v)], got[fmt.Sprintf("required_%v_A", v)] = nameplate, need
			got[fmt.Sprintf("size_%v_AWG", v)] = smallest(t, need, e.num("terminal_C"))
		}
		return got
	},
	"ac-w16": func(t *testing.T, e example) map[string]any {
		need := 1.25*e.num("continuous_A") + e.num("noncontinuous_A") // NEC 210.20(A)
		device, ok := NextStandard(units.Amp(need), Breaker)
		require.True(t, ok)
		return map[string]any{"required_A": need, "ocpd_A": device, "size_AWG": smallest(t, need, e.num("terminal_C"))}
	},
	"ac-w18": func(t *testing.T, e example) map[string]any {
		require.Equal(t, "8 stranded", e.text("ground_size"))
		return map[string]any{"R_neutral_mohm": 1000 * ohms(t, e.text("neutral_size"), e.num("length_ft"), false), "R_ground_mohm": 1000 * ohms(t, "8", e.num("length_ft"), false)}
	},
	"ac-w19": func(t *testing.T, e example) map[string]any {
		return map[string]any{"R_cable_ohm": 2 * ohms(t, e.text("cable_size"), e.num("cable_ft"), false)}
	},

	"dc-w01": func(t *testing.T, e example) map[string]any {
		loop := units.Foot(e.num("L_positive_ft") + e.num("L_negative_ft"))
		return circularMils(t, e, loop, map[string]any{"L_ft": float64(loop)})
	},
	"dc-w02": func(t *testing.T, e example) map[string]any {
		return circularMils(t, e, units.Foot(e.num("L_ft")), map[string]any{})
	},
	"dc-w03": func(t *testing.T, e example) map[string]any {
		g := gauge{e.num("n")}
		s := sizeOf(t, e.text("awg"))
		assert.InEpsilon(t, e.Expected["area_cmil"], s.Cmil(), e.ToleranceRel, "as Table 8 rounds it")
		assert.InEpsilon(t, e.Expected["area_mm2"], float64(s.MM2()), e.ToleranceRel)
		return map[string]any{
			"diameter_in": g.inches(), "diameter_mm": 25.4 * g.inches(), "area_cmil": g.cmil(), "area_mm2": g.mm2(),
			"r20_ohm_per_km": g.ohmPerKm(20), "r20_mohm_per_ft": g.ohmPerKm(20) / kftPerKm,
		}
	},
	"dc-w04": func(t *testing.T, e example) map[string]any {
		g := gauge{-3}
		r75 := g.ohmPerKm(e.num("T_C")) / kftPerKm
		return map[string]any{"r20_ohm_per_kft": g.ohmPerKm(20) / kftPerKm, "r75_ohm_per_kft": r75, "ratio_table_to_solid": ohms(t, e.text("awg"), 1000, false) / r75}
	},
	"dc-w05": func(t *testing.T, e example) map[string]any {
		return map[string]any{"link_check_mohm": gauge{6}.ohmPerKm(20) * 8 * 0.0254} // 8 in; Ω/km is mΩ/m
	},
	"dc-w06": func(t *testing.T, e example) map[string]any {
		lfp, ok := BatteryChemistry("lfp")
		require.True(t, ok)
		require.Equal(t, e.num("R_fault_mohm_per_100Ah"), lfp.Resistance.Fault)
		require.Equal(t, e.num("V_oc"), lfp.OpenCircuit(1))
		r, err := lfp.FaultResistance(e.num("block_Ah"), 1, e.num("n_parallel"))
		require.NoError(t, err)
		breaks, ok := FuseInterrupting("class-t", e.num("V_oc"))
		require.True(t, ok)
		return map[string]any{
			"R_bank_mohm": 1000 * float64(r), "R_cable_mohm": gauge{-3}.ohmPerKm(e.num("T_C")) * e.num("cable_loop_length_m"),
			"class_T_20kA_ok_at_end_of_cable": number(e.Expected["I_sc_A"]) <= breaks, "class_T_20kA_ok_at_terminals": number(e.Expected["I_terminals_A"]) <= breaks,
		}
	},
	"dc-w07": func(t *testing.T, e example) map[string]any {
		s := sizeOf(t, e.text("awg"))
		require.Equal(t, e.num("A_cmil"), s.Cmil())
		sec, err := WithstandSeconds(s, e.amps("I_A"), e.num("T1_C"), e.num("T2_C"))
		require.NoError(t, err)
		ratio := s.Cmil() / e.num("I_A")
		return map[string]any{"t_s": sec, "log_term": float64(sec) / 0.0297 / ratio / ratio}
	},
	"dc-w08": withstandArea,
	"dc-w09": func(t *testing.T, e example) map[string]any {
		v, err := ColdVoc(units.Volt(e.num("Voc25_V")), e.num("beta_pct_per_C"), units.Celsius(e.num("T_C")))
		require.NoError(t, err)
		return map[string]any{"factor": float64(v) / e.num("Voc25_V"), "Voc_cold_V": v}
	},
	"dc-w10": func(t *testing.T, e example) map[string]any {
		warm := e.num("n_series") * e.num("Voc25_V")
		cold, err := ColdVocFactor(units.Celsius(e.num("T_site_min_C")))
		require.NoError(t, err)
		colder, err := ColdVocFactor(units.Celsius(e.num("T_colder_C")))
		require.NoError(t, err)
		limit := e.num("controller_max_V")
		return map[string]any{
			"V_25C": warm, "V_minus12": warm * cold, "V_minus22": warm * colder,
			"pass_minus12": warm*cold <= limit, "pass_minus22": warm*colder <= limit, "over_80V_arc_fault_note": warm*cold >= 80,
		}
	},
	"dc-w11": func(t *testing.T, e example) map[string]any {
		n := int(e.num("n_parallel"))
		need := PVConductorCurrent(e.amps("Isc_A"), n)
		device, ok := NextStandard(need, Fuse)
		require.True(t, ok)
		return map[string]any{"I_max_A": PVMaxCurrent(e.amps("Isc_A"), n), "I_conductor_A": need, "standard_ocpd_A": device}
	},
	"dc-w12": func(t *testing.T, e example) map[string]any {
		two, three := PVBackfeed(e.amps("Isc_A"), 2), PVBackfeed(e.amps("Isc_A"), 3)
		module := e.amps("series_fuse_rating_A")
		least := PVConductorCurrent(e.amps("Isc_A"), 1)
		fuse, ok := NextStandard(least, Fuse)
		require.True(t, ok)
		require.LessOrEqual(t, fuse, module)
		return map[string]any{
			"I_back_2_strings_A": two, "fuse_needed_2": two > module, "I_back_3_strings_A": three, "fuse_needed_3": three > module,
			"min_fuse_A": least, "chosen_fuse_A": fuse,
		}
	},
	"dc-w13": func(t *testing.T, e example) map[string]any {
		nominal, err := InverterInput(units.Watt(e.num("P_W")), units.Volt(e.num("V_nominal")), e.num("efficiency"))
		require.NoError(t, err)
		low, err := InverterInput(units.Watt(e.num("P_W")), units.Volt(e.num("V_low")), e.num("efficiency"))
		require.NoError(t, err)
		need := 1.25 * low
		fuse, ok := NextStandard(need, Fuse)
		require.True(t, ok)
		return map[string]any{
			"I_nominal_A": nominal, "I_low_A": low, "I_125_A": need, "fuse_A": fuse,
			"cable_strict":      smallestDC(t, func(a units.Amp) bool { return a >= need && a >= fuse }),
			"cable_150pct_rule": smallestDC(t, func(a units.Amp) bool { return a >= need && 1.5*a >= fuse }),
		}
	},
	"dc-w14": func(t *testing.T, e example) map[string]any {
		right, err := PeukertHours(e.num("C_Ah"), e.num("R_h"), e.amps("I_A"), e.num("n"))
		require.NoError(t, err)
		// The mixed-rate mistake takes the capacity for one told at 1 A, which lasts C hours.
		mixed, err := PeukertHours(e.num("C_Ah"), e.num("C_Ah"), e.amps("I_A"), e.num("n"))
		require.NoError(t, err)
		return map[string]any{"t_corrected_h": right, "t_uncorrected_h": mixed, "effective_Ah": right * e.num("I_A")}
	},
	"dc-w15": func(t *testing.T, e example) map[string]any {
		i, err := InverterInput(units.Watt(e.num("P_W")), units.Volt(e.num("V_low")), e.num("efficiency"))
		require.NoError(t, err)
		return map[string]any{"I_A": i, "c_rate": float64(i) / (e.num("n_parallel") * e.num("block_Ah"))}
	},
	"dc-w16": func(t *testing.T, e example) map[string]any {
		s := Shunt{Rated: e.amps("I_rated_A"), Drop: units.Volt(e.num("mV_rated") / 1000)}
		r, err := s.Resistance()
		require.NoError(t, err)
		v, w, err := s.At(e.amps("I_cont_A"))
		require.NoError(t, err)
		return map[string]any{"R_mohm": 1000 * float64(r), "drop_mV": 1000 * float64(v), "heat_W": w, "cont_limit_A": s.Continuous(), "ok": e.amps("I_cont_A") <= s.Continuous()}
	},
	"dc-w17": func(t *testing.T, e example) map[string]any {
		q := DCQuery{Size: sizeOf(t, e.text("awg")), InsulationC: e.num("insulation_C"), AmbientC: 30, Engine: true, NominalV: 51.2}
		alone, err := DCAmpacity(q)
		require.NoError(t, err)
		q.Bundled = 3
		three, err := DCAmpacity(q)
		require.NoError(t, err)
		require.Equal(t, e.num("table_A"), alone.Table)
		return map[string]any{"engine_A": alone.Corrected, "bundled_engine_A": three.Corrected}
	},
	"dc-w18": func(t *testing.T, e example) map[string]any {
		table, err := FreeAirAmpacity(sizeOf(t, e.text("awg")), units.Celsius(e.num("insulation_C")))
		require.NoError(t, err)
		require.Equal(t, e.amps("table_A"), table)
		strict, _ := LargestAtMost(table, Fuse)
		next, _ := NextStandard(table, Fuse)
		most, _ := LargestAtMost(1.5*table, Fuse)
		return map[string]any{"strict_A": strict, "next_size_A": next, "cap_A": 1.5 * table, "largest_under_cap_A": most}
	},
	"dc-w19": func(t *testing.T, e example) map[string]any {
		ah, err := BankAmpHours(e.num("Wh_per_day"), e.num("days"), e.num("dod"), e.num("temp_factor"), units.Volt(e.num("V")))
		require.NoError(t, err)
		f, err := ColdCapacityFactor(4.4)
		require.NoError(t, err)
		require.Equal(t, e.num("temp_factor"), f, "40 °F is 4.4 °C")
		return map[string]any{"Ah": ah, "Wh_needed": ah * e.num("V")}
	},
}

func ac(t *testing.T, q ACQuery) Ampacity {
	t.Helper()
	a, err := ACAmpacity(q)
	require.NoError(t, err)
	return a
}

// ohms is one core of copper at 75 °C, one way.
func ohms(t *testing.T, size string, feet float64, solid bool) float64 {
	t.Helper()
	r, err := RunResistance(sizeOf(t, size), units.Foot(feet), 75, solid)
	require.NoError(t, err)
	return float64(r)
}

// smallest is the least size of copper whose usable ampacity covers a current.
func smallest(t *testing.T, need, terminalC float64) units.Size {
	t.Helper()
	for _, s := range units.AWGSizes() {
		a, err := ACAmpacity(ACQuery{Size: s, InsulationC: 90, TerminalC: terminalC, AmbientC: 30, Carrying: 3})
		if err == nil && s.Stocked() && a.Usable >= need {
			return s
		}
	}
	t.Fatalf("no size for %v A", need)
	return units.Size{}
}

// smallestDC is the least 105 °C cable in free air that will do.
func smallestDC(t *testing.T, does func(units.Amp) bool) units.Size {
	t.Helper()
	for _, s := range units.AWGSizes() {
		a, err := DCAmpacity(DCQuery{Size: s, InsulationC: 105, AmbientC: 30, NominalV: 12})
		if err == nil && s.Stocked() && does(units.Amp(a.Usable)) {
			return s
		}
	}
	t.Fatal("no size will do")
	return units.Size{}
}

func circularMils(t *testing.T, e example, loop units.Foot, got map[string]any) map[string]any {
	t.Helper()
	drop := units.Volt(e.num("drop_pct") / 100 * e.num("V_nominal"))
	cm, err := CircularMils(e.num("K"), e.amps("I_A"), loop, drop)
	require.NoError(t, err)
	got["E_V"], got["cm_required"] = drop, cm
	for _, s := range units.AWGSizes() {
		if _, done := got["awg_by_nominal_area"]; !done && s.Cmil() >= cm {
			got["awg_by_nominal_area"] = s
		}
		if area, ok := GaugeArea(s); ok && area >= cm {
			if _, done := got["gauge_by_sae_minimum_area"]; !done {
				got["gauge_by_sae_minimum_area"] = s
			}
		}
	}
	return got
}

// effective is the impedance that counts at a power factor, Z = R·cosφ + X·sinφ
// (NEC Chapter 9 Table 9, note 2).
func effective(r, x, pf float64) float64 {
	return r*pf + x*math.Sqrt(1-pf*pf)
}

// withstandArea holds the two withstand formulas against each other: the constant k
// of the metric one, out of the other's time for a known size.
func withstandArea(t *testing.T, e example) map[string]any {
	s := sizeOf(t, "4/0")
	sec, err := WithstandSeconds(s, e.amps("I_A"), e.num("T1_C"), e.num("T2_C"))
	require.NoError(t, err)
	k := e.num("I_A") * math.Sqrt(float64(sec)) / float64(s.MM2())
	return map[string]any{
		"k_from_icea": k,
		"S1_mm2":      e.num("I_A") * math.Sqrt(e.num("t1_s")) / e.num("k"),
		"S2_mm2":      e.num("I_A") * math.Sqrt(e.num("t2_s")) / e.num("k"),
	}
}

func TestWorkedExamples(t *testing.T) {
	left := maps.Clone(drivers)
	waiting := maps.Clone(elsewhere)
	for _, file := range []string{"ac", "dc"} {
		text, err := os.ReadFile("../../testdata/worked/" + file + ".yaml")
		require.NoError(t, err)
		var all struct{ Examples []example }
		require.NoError(t, yaml.Unmarshal(text, &all))
		require.Len(t, all.Examples, 20)
		for _, e := range all.Examples {
			t.Run(e.ID, func(t *testing.T) {
				assert.NotEmpty(t, e.Source)
				require.NotEmpty(t, e.Expected)
				drive, driven := drivers[e.ID]
				other, listed := elsewhere[e.ID]
				require.True(t, driven || listed, "%s is neither worked out here nor listed as another's", e.ID)
				require.False(t, driven && listed && other.keys == nil, "%s is worked out here and left to others whole", e.ID)
				require.True(t, driven || other.keys == nil, "%s has keys left to others and none here", e.ID)
				delete(left, e.ID)
				delete(waiting, e.ID)
				if !driven {
					return
				}
				got := drive(t, e)
				tolerance := max(e.ToleranceRel, e.TolerancePercent/100)
				require.Positive(t, tolerance)
				for key, want := range e.Expected {
					if slices.Contains(other.keys, key) {
						assert.NotContains(t, got, key, "left to others and worked out as well")
						continue
					}
					if assert.Contains(t, got, key, "neither worked out nor left to others") {
						agree(t, want, got[key], tolerance, key)
					}
				}
				for _, key := range append(slices.Collect(maps.Keys(got)), other.keys...) {
					assert.Contains(t, e.Expected, key, "not in the example")
				}
			})
		}
	}
	assert.Empty(t, left, "worked out here and not in the files")
	assert.Empty(t, waiting, "left to others and not in the files")
}

func agree(t *testing.T, want, got any, tolerance float64, key string) {
	t.Helper()
	switch got := got.(type) {
	case units.Size:
		assert.Equal(t, sizeOf(t, fmt.Sprint(want)), got, key)
	case bool:
		assert.Equal(t, want, got, key)
	case []any:
		list, ok := want.([]any)
		require.True(t, ok && len(list) == len(got), key)
		for i := range list {
			agree(t, list[i], got[i], tolerance, fmt.Sprintf("%s[%d]", key, i))
		}
	case units.Amp:
		assert.InEpsilon(t, number(want), float64(got), tolerance, key)
	case units.Volt:
		assert.InEpsilon(t, number(want), float64(got), tolerance, key)
	case units.Watt:
		assert.InEpsilon(t, number(want), float64(got), tolerance, key)
	case units.Second:
		assert.InEpsilon(t, number(want), float64(got), tolerance, key)
	case float64:
		assert.InEpsilon(t, number(want), got, tolerance, key)
	default:
		t.Fatalf("%s: %T cannot be compared", key, got)
	}
}
