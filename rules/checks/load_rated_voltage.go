package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// RatedVoltage holds a load across both legs to the voltage that its supply puts there.
var RatedVoltage = &rules.Rule{
	ID:    "load.rated-voltage",
	Title: "A load's plate does not suit the voltage between the legs",
	Must: "A load across both legs is rated for the voltage that is there in each state: two legs of a three-phase supply are 208 V apart, opposite legs 240 V, and an appliance bears a tenth more or less than its plate says. " +
		"One for resistance heat gives less on a low voltage and takes no harm; a motor or a compressor overheats. " +
		"A rated voltage that is not told is asked for where the legs are 208 V apart, and taken for 240 V where they are not.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.4", Says: "voltage of the circuit and of the equipment agree", Seen: rules.Published},
		{Source: "phasor difference of two legs 120° apart", Says: "√3 × 120 V = 208 V", Seen: rules.Practice},
		{Source: "NEMA MG 1", Clause: "12.44", Says: "a motor runs within 10 % of its rated voltage", Seen: rules.Memory},
	},
	Level: rules.Violation,
	Check: ratedVoltage,
}

// bornePart is how far off its plate's voltage an appliance may be fed.
const bornePart = 0.10

func ratedVoltage(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Kind != &components.ACLoad || q.Gone() || q.Figure("hots").Value != 2 {
			continue
		}
		across := acrossHots(p, q)
		_, on := p.Solution().Flows[q.ID]
		switch plate := q.Figure("rated_v"); {
		case across == 0 || !on:
			// load.240v-needs-split-phase
		case plate.Known():
			offItsPlate(p, q, across)
		case math.Round(across) == wyeVolts:
			p.Unchecked(string(q.ID), fmt.Sprintf("rated_v of %s is not known, and its hots are %d V apart here: read the voltage on its plate. One for 240 V alone gets %.0f %% of that", q.ID, wyeVolts, 100*across/240))
		}
	}
}

// wyeVolts is what two legs of a three-phase supply of 120 V are apart.
const wyeVolts = 208

// acrossHots is the voltage between a load's two hots in this state, 0 where one is dead or
// they are in phase.
func acrossHots(p *rules.Pass, q components.Part) float64 {
	a, okA := p.Circuit.At(q.ID, "in", components.L1)
	b, okB := p.Circuit.At(q.ID, "in", components.L2)
	if !okA || !okB {
		return 0
	}
	if phase := p.Circuit.PhaseOf(a, b); phase == circuit.OneDead || phase == circuit.InPhase {
		return 0
	}
	x, y := p.Circuit.Feeds(a)[0], p.Circuit.Feeds(b)[0]
	apart := (x.Degrees - y.Degrees) * math.Pi / 180
	return math.Sqrt(x.Volts*x.Volts + y.Volts*y.Volts - 2*x.Volts*y.Volts*math.Cos(apart))
}

// borne is the band of voltage that a load bears by its plate.
func borne(q components.Part) (low, high float64) {
	low, high = q.Figure("rated_v").Value, q.Figure("rated_v").Value
	if upper := q.Figure("rated_high_v"); upper.Known() {
		high = max(low, upper.Value)
	}
	return (1 - bornePart) * low, (1 + bornePart) * high
}

func offItsPlate(p *rules.Pass, q components.Part, across float64) {
	low, high := borne(q)
	plate := numText(low / (1 - bornePart))
	if upper := numText(high / (1 + bornePart)); upper != plate {
		plate += " to " + upper
	}
	f := rules.Finding{
		At:      string(q.ID),
		Working: []string{fmt.Sprintf("between its hots %.4g V; its plate of %s V and a tenth bears %.4g to %.4g V", across, plate, low, high)},
		Fixes: []rules.Fix{switchOff(p, q.ID, func(s *rules.Pass) bool {
			v := acrossHots(s, q)
			return v > 0 && (v < low || v > high)
		})},
	}
	switch made := fmt.Sprintf("%s is made for %s V and gets %.0f V between its hots", q.ID, plate, across); {
	case across > high:
		f.Message = made + ": it overheats. Where its plate names a range, tell the upper end too (rated_high_v)"
	case across >= low:
		return
	case q.Word("behaves") == "resistance":
		f.Level = rules.Advice
		f.Message = fmt.Sprintf("%s: it gives %.0f %% of its heat", made, 100*math.Pow(across*(1-bornePart)/low, 2))
	default:
		f.Message = fmt.Sprintf("%s: a motor or a compressor overheats, or does not start. Choose one whose plate names %.0f V too, or leave it off there", made, across)
	}
	p.Report(f)
}
