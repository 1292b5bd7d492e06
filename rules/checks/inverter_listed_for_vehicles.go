package checks

import (
	"fmt"

	"rigline/components"
	"rigline/rules"
)

// VehicleListed asks that inverters and chargers are listed for vehicles.
var VehicleListed = &rules.Rule{
	ID:    "inverter.listed-for-vehicles",
	Title: "An inverter or charger is not listed for vehicles",
	Must:  "Inverters, converters and chargers are of a kind listed for vehicle use, and installed as the listing says.",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.20(B), 551.32", Says: "converters and other AC sources listed for recreational vehicles", Seen: rules.Published},
		{Source: "UL 458", Says: "power converters and inverters for land vehicles and marine craft; the authority may accept another", Seen: rules.Published},
	},
	Set:   components.USVehicle,
	Level: rules.Violation, Stateless: true,
	Check: vehicleListed,
}

func vehicleListed(p *rules.Pass) {
	for _, q := range p.Doc.Parts() {
		if q.Gone() || q.Kind != &components.Inverter && q.Kind != &components.InverterCharger && q.Kind != &components.Charger {
			continue
		}
		f := rules.Finding{
			At:      string(q.ID),
			Working: []string{"wanted UL 458; listing of " + string(q.ID) + ": " + q.Word("listing")},
			Fixes:   []rules.Fix{{Title: fmt.Sprintf("Fit a unit listed to UL 458 as %s", q.ID), Edits: []components.Edit{set(q.ID, "listing", components.Str("ul-458"))}}},
		}
		switch q.Word("listing") {
		case "ul-458":
			continue
		case "":
			p.Unchecked(string(q.ID), fmt.Sprintf("listing of %s is not told: read the standard beside the test mark on its label (UL 458 is for vehicles)", q.ID))
			continue
		case "ul-1741":
			f.Message = fmt.Sprintf("%s is listed to UL 1741, for buildings: a vehicle's source is listed to UL 458, and switches its neutral bond with the transfer", q.ID)
		case "none":
			f.Message = fmt.Sprintf("%s carries no listing mark: a vehicle's source is listed to UL 458", q.ID)
		default:
			f.Message = fmt.Sprintf("%s is not listed to UL 458, the standard for vehicles: ask the authority whether its own listing is accepted", q.ID)
		}
		p.Report(f)
	}
}
