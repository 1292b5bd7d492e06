package checklist

import "strings"

// caravan are the words of a 230 V caravan for those of a North American vehicle,
// longer ones before what they hold. A hot plug stays hot.
var caravan = strings.NewReplacer(
	"High or unequal between legs: failing neutral. 240 on a 30 A outlet: miswired, do not plug in.", "Above 253 V: the neutral of the site's supply is failing; do not plug in.",
	"One leg falls while the other RISES by more than 3 V: failing neutral; unplug at once.", "Falls by more than 5 %: a loose joint or too thin a lead; unplug where anything is warm.",
	"a ground-fault pedestal will trip at 4-6 mA", "a residual-current device trips at 30 mA",
	"About 120 V", "About 230 V",
	"Hot skin", "Live skin",
	"hot-to-neutral", "line-to-neutral", "(hot, hot, neutral)", "(line, neutral)",
	"each hot to ground", "line to earth", "each hot to", "line to", "hot to ground", "line to earth", "hot to", "line to", "Hot and neutral", "Line and neutral", "hot and neutral", "line and neutral",
	", each leg, no load", ", no load", ", both legs", "", "which panel, leg and outlets", "which panel and outlets",
	"neutral to ground", "neutral to earth", "to ground", "to earth", "neutral-ground", "neutral-earth", "neutral and ground swapped", "neutral and earth swapped", "Neutral-to-ground", "Neutral-to-earth",
	"ground-fault outlet", "outlet behind a residual-current device", "ground-fault", "residual-current",
	"Open equipment ground", "Open protective conductor", "equipment ground", "protective conductor", "ground bar", "earth bar", "grounding path", "protective conductor", "grounding", "earthing",
	"open ground", "open protective conductor", "Open ground", "Open protective conductor", "floating ground", "floating earth",
	"ground or neutral", "earth or neutral", "returning on the ground", "returning on the protective conductor", "ground excluded", "protective conductor excluded",
	"Pedestal", "Pitch outlet", "pedestal", "pitch outlet",
)

// forCaravan puts an item into the words of a 230 V caravan.
func (i Item) forCaravan() Item {
	for _, text := range []*string{&i.Points, &i.Do, &i.Wrong, &i.Caution} {
		*text = caravan.Replace(*text)
	}
	return i
}
