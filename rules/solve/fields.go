package solve

import "rigline/components"

// Fields are all that a solution may rest on: every one but those of overcurrent
// devices, which are ideal contacts to it.
var Fields = components.EveryField().Without(protecting())

func protecting() components.FieldSet {
	var all components.FieldSet
	for _, k := range components.Catalog {
		if k.Role == components.Protects {
			all = all.And(components.FieldsOf(k))
		}
	}
	return all
}
