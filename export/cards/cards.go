// Package cards makes one card for each supply that a rig may be used on: what may
// run together on it, what to set, what stays off, how long the bank lasts. Every
// combination that a card allows has been solved with that supply's limit.
package cards

import (
	"rigline/components"
)

// Kind is the sort of supply.
type Kind string

// The sorts of supply.
const (
	Site      Kind = "site"
	Generator Kind = "generator"
	OffGrid   Kind = "off grid"
)

// Card is one page for the door: how to use the rig on one supply.
type Card struct {
	Kind    Kind
	Title   string // "30 A site, through the adapter"
	State   components.State
	Breaker float64   // of the site, in amperes; 0 of other supplies
	Limits  []Limit   // what may be drawn, a line a hot
	Back    []string  // of hots in phase: the neutrals that they may overload together
	Set     []Setting // what to set before use
	All     bool      // everything that runs on this supply may run at once
	Always  []Load    // small loads, counted as on in every combination
	Choices []Choice  // each may run together with Always, and with nothing else; with a budget, examples of it
	Budget  Budget    // where the loads are too many for choices
	TooBig  []Load    // not even alone
	Off     []Load    // stays off, or is dead on this supply, with the reason
	Mains   float64   // nominal volts of a hot to the neutral
	Outlets []Load    // alive outlets: what is plugged in is on no drawing, and counts too
	Starts  []string  // motors: start them one after another
	Charge  []string  // what the bank gets on this supply
	Unknown []string  // figures that are missing, so that the card cannot be relied on
	Failure string    // why there is no card, "" where there is one

	tried    int                       // larger loads up to which every combination is tried
	more     bool                      // more combinations fit than a card holds
	neutrals map[components.ID]neutral // by run
	plugged  float64                   // the most that any outlet's own breaker lets through for hours
}

// Limit is what one hot of the supply may give.
type Limit struct {
	Hot  string  // "leg 1", "hot", "output"
	Amps float64 // held for hours
	Why  string
}

// Setting is one thing to set.
type Setting struct {
	Device components.ID
	What   string // "input current limit"
	Value  string // "24 A", NotKnown where it does not follow from the drawing
	Why    string
}

// NotKnown is what a card says where a figure is missing.
const NotKnown = "not known"

// Load is one appliance on a card.
type Load struct {
	ID   components.ID
	Name string // its name, or its tag
	VA   float64
	Why  string // why it is off or too big
}

// Choice is a set of larger loads that may run together.
type Choice struct {
	Loads []Load
	Amps  []float64 // drawn from each hot, in the order of Limits
	Left  float64   // what is left for what is plugged in, in amperes, in whichever outlet
	Volts float64   // the lowest at any running load
	Hours float64   // how long a full bank lasts; 0 where the bank gives nothing or it is not known
	Bank  string    // the same in words
}
