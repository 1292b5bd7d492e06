package schedule

import "rigline/components"

// AmpacityTables names the tables that a rig's conductors are held to, each with what
// it is used for, and the stricter choice where the project makes one.
func AmpacityTables(doc *components.Document) []string {
	var building, cord, free, metric, millimetres bool
	for _, r := range doc.Runs() {
		cable, ok := r.Cable()
		if r.Gone() || !ok {
			continue
		}
		for _, core := range doc.CoresOf(r) {
			switch {
			case core.From == components.G:
			case cable.Table == components.Metric230:
				metric = true
			case cable.Table == components.FreeAirDC && core.From.DC():
				free = true
				if size, ok := r.Size(core.From); ok && size.Metric() {
					millimetres = true
				}
			case cable.Table == components.FlexibleCord && !core.From.DC():
				cord = true
			default:
				building = true
			}
		}
	}
	var all []string
	add := func(used bool, text string) {
		if used {
			all = append(all, text)
		}
	}
	add(building, "NEC 310.16 for wire and cable, enclosed, terminals at 60 °C to 1 AWG where not marked")
	add(cord, "NEC 400.5(A)(1) for cords")
	add(metric, "IEC 60364-5-52 Table B.52.2, method B2, for 230 V wiring")
	switch {
	case free && doc.Ampacity == components.Enclosed:
		all = append(all, "33 CFR 183.425 Table 5 for DC cable, or NEC 310.16 as in a raceway where that is less, as this project chooses")
	case free:
		all = append(all, "33 CFR 183.425 Table 5 for DC cable in free air")
	}
	if free && millimetres {
		all[len(all)-1] += ", each size in mm² taken as the American size next below it, since no DC table in mm² is held"
	}
	return all
}
