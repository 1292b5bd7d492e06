package components

import "strings"

// The rule sets: a North American recreational vehicle on 120 V or 120/240 V, and a
// caravan on a single 230 V supply by IEC 60364-7-721.
const (
	USVehicle = "us-rv"
	Caravan   = "iec-caravan"
)

// RuleSetName is the project's rule set as a person reads it.
func (d *Document) RuleSetName() string {
	switch d.Basis {
	case USVehicle:
		return "North American vehicle"
	case Caravan:
		return "230 V caravan"
	}
	return d.Basis
}

// MainsVolts is the nominal voltage from a hot to the neutral under the project's
// rule set: 230 V in a caravan, 120 V else.
func (d *Document) MainsVolts() float64 {
	if d.Basis == Caravan {
		return 230
	}
	return 120
}

// MainsHertz is the nominal frequency of the mains under the project's rule set.
func (d *Document) MainsHertz() float64 {
	if d.Basis == Caravan {
		return 50
	}
	return 60
}

// ServiceVolts is the nominal voltage of a service from a hot to the neutral.
func ServiceVolts(service string) float64 {
	if strings.HasSuffix(service, "-230") {
		return 230
	}
	return 120
}

// InverterVolts is what an inverter makes on a leg: what it is told to, or the
// nominal voltage of the rule set.
func (d *Document) InverterVolts(p Part) float64 {
	if f := p.Figure("ac_v"); f.From == Given {
		return f.Value
	}
	return d.MainsVolts()
}
