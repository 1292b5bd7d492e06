package bom

import (
	"math"
	"strings"

	"rigline/components"
)

// Plan is a range of what a row may cost, for planning before anybody has asked a
// price. It is no quotation. Known is false where no honest range is at hand.
type Plan struct {
	Low, High float64 // of all of the row
	Known     bool
}

// PlanSays is what stands beside every range.
const PlanSays = "planning range, no quotation, from memory, US dollars"

// perPiece are wide ranges of street prices by description, from memory.
var perPiece = map[string][2]float64{
	"Tinned copper lug":  {1, 6},
	"Terminal boot, red": {1, 5}, "Terminal boot, black": {1, 5},
	"Cushioned clamp":                              {0.5, 3},
	"Box connector with strain relief":             {1, 8},
	"Adhesive-lined heat shrink, one length a lug": {0.3, 2},
	"Run tag, heat-shrink or wrap-around":          {0.1, 1},
	"Part label":                                   {0.1, 2},
	"Panel breaker":                                {8, 30},
	"Panel breaker, ground-fault protected":        {45, 120},
	"Panel fuse":                                   {0.3, 2},
}

// perFoot are wide ranges of copper cable by the foot, from memory.
var perFoot = map[string][2]float64{
	"4/0 AWG": {6, 14}, "3/0 AWG": {5, 12}, "2/0 AWG": {4, 9}, "1/0 AWG": {3, 8}, "1 AWG": {3, 7}, "2 AWG": {2, 5}, "4 AWG": {1.5, 4},
	"6 AWG": {1, 3}, "8 AWG": {0.7, 2}, "10 AWG": {0.4, 1.2}, "12 AWG": {0.3, 0.9}, "14 AWG": {0.2, 0.7}, "16 AWG": {0.15, 0.5},
}

// classT are those of class T fuses and their holders.
var classT = map[string][2]float64{"Fuse": {15, 60}, "Fuse holder": {25, 90}}

// planOf is the planning range of a row that is to be bought and has no price. It
// is there for small parts and single conductors alone: equipment differs too much
// for a range that would mean anything.
func planOf(doc *components.Document, r Row) Plan {
	if !r.Section.Bought() || r.Price > 0 || !r.Known || doc.Basis != "us-rv" {
		return Plan{}
	}
	each, ok := perPiece[r.Description]
	if x, found := classT[r.Description]; found && strings.HasSuffix(r.Rating, "class T") {
		each, ok = x, true
	}
	battery, _ := components.FindConstruction("battery-105")
	if r.Section == Cable && r.Description == battery.Title && r.Unit == "ft" {
		each, ok = perFoot[r.Rating]
	}
	if !ok {
		return Plan{}
	}
	return Plan{math.Round(each[0]*r.Quantity*100) / 100, math.Round(each[1]*r.Quantity*100) / 100, true}
}
