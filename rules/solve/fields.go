package solve

import "rigline/components"

// What an answer may rest on beside how the circuit has settled. Overcurrent devices are
// ideal contacts to all of it.
var (
	// Fields are those of a solution.
	Fields = components.EveryField().Without(fieldsOf(func(k *components.Kind) bool { return k.Role == components.Protects }))
	// FaultFields are those of prospective currents: loads are open there.
	FaultFields = Fields.Without(fieldsOf(func(k *components.Kind) bool { return k.Role == components.Uses }))
	// DemandFields are those of FullDemand: inverters are at their rated power there,
	// whatever they feed.
	DemandFields = Fields.Without(components.FieldsOf(&components.ACLoad, &components.Receptacle))
)

func fieldsOf(of func(*components.Kind) bool) components.FieldSet {
	var all components.FieldSet
	for _, k := range components.Catalog {
		if of(k) {
			all = all.And(components.FieldsOf(k))
		}
	}
	return all
}
