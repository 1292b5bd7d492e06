package checks

import (
	"fmt"
	"testing"

	"rigline/components"
)

// Circuits with cables of their own that come back on one neutral: of one leg it carries
// the sum in every state, of two legs where an adapter puts them in phase.
func TestEdgesOfSharedNeutrals(t *testing.T) {
	lends := func(n int, breaker float64) []components.Edit { // circuits 2 to n come back over W5
		rows := []components.Spec{circuitRow("", breaker)}
		var edits []components.Edit
		for i := 2; i <= n; i++ {
			load := components.ID(fmt.Sprintf("LD%d", i))
			rows = append(rows, circuitRow("", breaker))
			edits = append(edits, components.AddPart{Part: components.Part{ID: load, Kind: &components.ACLoad, At: components.Point{X: 840, Y: 100 + 100*i}, Spec: components.Spec{"va": amount(100)}}},
				drawn(components.ID(fmt.Sprintf("W%d", 20+i)), fmt.Sprintf("PNL1.c%d", i), string(load)+".in", "14 AWG", components.L, components.G),
				drawn(components.ID(fmt.Sprintf("W%d", 30+i)), string(load)+".in", "LD1.in", "14 AWG", components.N))
		}
		return append([]components.Edit{withRows("PNL1", rows...)}, edits...)
	}
	size := func(text string) components.Edit { return set("W5", "size", wordOf(text)) }
	loose := func(from, to string, more ...components.Edit) []components.Edit { // breakers in place of the panel's circuits
		breaker := func(id components.ID, y int) components.Edit {
			return components.AddPart{Part: components.Part{ID: id, Kind: &components.ACBreaker, At: components.Point{X: 900, Y: y}, Spec: components.Spec{"rating_a": amount(15)}}}
		}
		load := func(id components.ID, y int) components.Edit {
			return components.AddPart{Part: components.Part{ID: id, Kind: &components.ACLoad, At: components.Point{X: 1000, Y: y}, Spec: components.Spec{"va": amount(100)}}}
		}
		leg := func(hot string) []components.Core {
			c, _ := components.ParseCore(hot)
			return append([]components.Core{c}, cores(components.N, components.G)...)
		}
		feed := func(id components.ID, hot, to string) components.Edit {
			return components.AddRun{Run: components.Run{ID: id, From: at("CB1.load"), To: at(to), Cores: leg(hot), Spec: components.Spec{"size": components.Str("6 AWG"), "cable": components.Str("tray-90"), "length_ft": components.Num(6)}}}
		}
		return append([]components.Edit{breaker("CB8", 400), breaker("CB9", 500), load("LD8", 400), load("LD9", 500), feed("W88", from, "CB8.line"), feed("W98", to, "CB9.line"),
			drawn("W81", "CB8.load", "LD8.in", "14 AWG", components.L, components.G), drawn("W91", "CB9.load", "LD9.in", "14 AWG"), drawn("W82", "LD8.in", "LD9.in", "14 AWG", components.N)}, more...)
	}
	apart := []components.Edit{components.RemoveRun{ID: "W82"}, components.Reroute{ID: "W81", From: at("CB8.load"), To: at("LD8.in")}}
	holdRows(t, []edgeRow{
		{"clean", InPhaseNeutral, "each its own", nil, none, "310.16"},
		{"clean", InPhaseNeutral, "two of one leg, 14 AWG", lends(2, 15), []string{"danger W5"}, "Kirchhoff: 30 A; 110.14(C), 240.4(D): 14 AWG 15 A"},
		{"clean", InPhaseNeutral, "two of one leg, 10 AWG at its limit", append(lends(2, 15), size("10 AWG")), none, "Kirchhoff: 30 A; 310.16: 10 AWG 30 A"},
		{"clean", InPhaseNeutral, "three of one leg, not above what the inlet gives", append(lends(3, 15), size("10 AWG")), none, "Kirchhoff: 45 A, the site gives 30 A"},
		{"clean", InPhaseNeutral, "three of one leg, 12 AWG", append(lends(3, 15), size("12 AWG")), []string{"danger W5"}, "Kirchhoff: 30 A; 310.16, 110.14(C): 12 AWG 20 A"},
		{"clean", InPhaseNeutral, "the size not told", append(lends(2, 15), set("W5", "size", components.Unknown)), []string{"unchecked W5"}, "nothing to hold it to"},

		{"gfci.neutral-not-crossed", InPhaseNeutral, "a cable of its own to another circuit's space", nil, none, "Kirchhoff: W5 and W15 carry one load each"},

		{"overcurrent.common-trip.fixed", CommonTrip, "tied", nil, none, "210.4(B)"},
		{"overcurrent.common-trip.fixed", CommonTrip, "loose, two legs", loose("L1>L", "L2>L"), []string{"violation CB9"}, "210.4(B): all lines at once"},
		{"overcurrent.common-trip.fixed", CommonTrip, "loose, each its own neutral", loose("L1>L", "L2>L", apart...), none, "210.4(B)"},
		{"overcurrent.common-trip.fixed", InPhaseNeutral, "loose, each its own neutral", loose("L1>L", "L2>L", apart...), none, "310.16"},
		{"overcurrent.common-trip.fixed", InPhaseNeutral, "loose, two legs, in phase on an adapter", loose("L1>L", "L2>L"), []string{"danger W91"}, "210.4(A); Kirchhoff: 30 A on 14 AWG, 15 A"},
		{"overcurrent.common-trip.fixed", InPhaseNeutral, "loose, one leg", loose("L1>L", "L1>L"), []string{"danger W91"}, "Kirchhoff: 30 A on 14 AWG, 15 A"},
		{"overcurrent.common-trip.fixed", InPhaseNeutral, "loose, the neutral wide enough", append(loose("L1>L", "L2>L"), set("W91", "size", wordOf("10 AWG"))), none, "310.16: 10 AWG 30 A"},
	})
}
