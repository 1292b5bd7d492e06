package schedule

import (
	"fmt"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
)

// Photo is one picture to take before covers go on.
type Photo struct{ Of, Shows string }

// Photos are the pictures that the next person will look for: each plate, each lug,
// each cover off (common practice, no source).
func Photos(rig *solved.Rig) []Photo {
	var all []Photo
	add := func(p components.Part, shows string) { all = append(all, Photo{named(p), shows}) }
	for _, p := range rig.Doc.Parts() {
		if p.Gone() {
			continue
		}
		switch p.Kind {
		case &components.Panel:
			add(p, "cover off, every breaker with its number, neutral and ground bars; then the directory on the door")
		case &components.DCPanel:
			add(p, "cover off, every fuse with its number, the negative bar; then the directory on the cover")
		case &components.Battery:
			add(p, "label with its limits and serial number; both posts with their lugs, and the way to the first fuse")
		case &components.Fuse, &components.DCBreaker, &components.ACBreaker:
			add(p, "its rating and what it can break; what lands on both its ends")
		case &components.Inverter, &components.InverterCharger, &components.Charger, &components.SolarController, &components.DCCharger, &components.DCConverter:
			add(p, "plate with serial number and listing mark; terminals open, with the ground of its case; its settings on the display")
		case &components.Generator, &components.Alternator:
			add(p, "plate; its terminals and its bond")
		case &components.SolarArray:
			add(p, "label of one module; where the leads come through the roof")
		case &components.Inlet:
			add(p, "the plate beside it; its back, with the conductors")
		case &components.SurgeProtector:
			add(p, "plate with its ratings; its lamps; both its ends")
		case &components.TransferSwitch, &components.DCSwitch:
			add(p, "its rating; what its positions are called")
		case &components.Busbar, &components.Shunt, &components.Splice:
			add(p, "every stud with its lugs and the order in which they are stacked")
		case &components.Chassis, &components.BondKind:
			add(p, "bare metal, star washer and lugs")
		}
	}
	return all
}

// PhotosTable is the pictures as a table, with a place for the tick.
func PhotosTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "photos", Title: "Pictures to take before covers go on", None: "the drawing has nothing to take a picture of", Head: []string{"picture", "of", "shows", "taken"}}
	for i, p := range Photos(rig) {
		t.Add(fmt.Sprint(i+1), p.Of, p.Shows, "")
	}
	return terms.Of(rig.Doc).Table(t)
}
