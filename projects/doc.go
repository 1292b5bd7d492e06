// Package projects reads and writes the project file: one YAML file for one rig,
// version 1 of the format. What it reads it checks whole, and reports every fault
// with its place; what it writes has one order and one style, so that two versions
// compare line by line.
package projects

// Version is what the first line of a file must say.
const Version = "rigline/1"

// Limits of a file. They stand far above any rig, and keep a hostile file from
// taking the program down.
const (
	MaxBytes     = 8 << 20
	maxSigns     = 1_000_000 // line ends, colons and commas, of which a tree grows
	maxDepth     = 12
	maxParts     = 10_000
	maxRuns      = 20_000
	maxRows      = 120 // circuits of a panel
	maxBends     = 200 // bend points of a run
	maxStates    = 100
	maxNotes     = 5_000
	maxRevisions = 1_000
	maxAccepted  = 5_000
	maxReadings  = 20_000
	maxWords     = 10_000 // words of a list
	maxText      = 20_000 // bytes of a text
	maxProblems  = 1_000
	maxNear      = 200    // faults for which a near word is looked for
	maxNearWords = 2_000  // words among which it is looked for
	sheetEdge    = 20_000 // sheet units from the middle of the sheet
	feetPerMetre = 1 / 0.3048
)
