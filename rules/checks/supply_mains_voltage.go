package checks

import (
	"fmt"
	"math"

	"rigline/components"
	"rigline/rules"
)

// MainsVoltage finds a source of mains of another voltage than the rest of the rig.
var MainsVoltage = &rules.Rule{
	ID:    "supply.mains-voltage",
	Title: "A source gives another voltage than the rig is made for",
	Must:  "What a site's outlet or an inverter gives from a hot to the neutral is the voltage of the rule set that the rig is drawn under, 120 V in a North American vehicle and 230 V in a caravan, within a tenth: every load, breaker and charger behind it is made for that. (inlet.230v-inlet-and-isolator looks at the site's outlet of a caravan.)",
	Basis: []rules.Basis{
		{Source: "NFPA 70 (NEC) 2023", Clause: "110.4", Says: "the voltage of the circuit is not above the rating of what is joined to it", Seen: rules.Memory, Set: components.USVehicle},
		{Source: "NFPA 70 (NEC) 2020", Clause: "551.40(A)", Says: "nominal 120 V or 120/240 V", Seen: rules.Memory, Set: components.USVehicle},
		{Source: "IEC 60364-7-721:2017", Clause: "721.313", Says: "230 V single-phase", Seen: rules.Memory, Set: components.Caravan},
	},
	Level: rules.Danger, Stateless: true,
	Check: mainsVoltage,
}

func mainsVoltage(p *rules.Pass) {
	want := p.Doc.MainsVolts()
	for _, q := range p.Doc.Parts() {
		gives, port := 0.0, ""
		switch {
		case q.Gone():
		case q.Kind == &components.Shore && !european(p.Doc):
			gives, port = components.ServiceVolts(q.Word("service")), "out"
		case q.Kind == &components.Inverter || q.Kind == &components.InverterCharger:
			gives, port = p.Doc.InverterVolts(q), "ac-out"
		}
		if port == "" || math.Abs(gives-want) <= want/10 || !joinedAt(p.Doc, q, []string{port}) {
			continue
		}
		f := rules.Finding{
			At:      string(q.ID),
			Message: fmt.Sprintf("%s gives %s V, and everything on its circuit is taken as made for %s V", q.ID, numText(gives), numText(want)),
			Working: []string{fmt.Sprintf("%s V from a hot to the neutral; wanted: %s V, 10 %% more or less", numText(gives), numText(want))},
		}
		if q.Kind == &components.Shore {
			f.Fixes = ofTheInlet(p, q)
		} else {
			f.Fixes = []rules.Fix{{Title: fmt.Sprintf("Set %s to %s V", q.ID, numText(want)), Edits: []components.Edit{set(q.ID, "ac_v", components.Num(want))}}}
		}
		p.Report(f)
	}
}

// ofTheInlet draws the outlet that the inlet of a site's cord is made for.
func ofTheInlet(p *rules.Pass, site components.Part) []rules.Fix {
	for _, r := range p.Doc.RunsAt(site.Ref("out")) {
		inlet, _ := p.Doc.Part(r.Other(site.Ref("out")).Part)
		for _, service := range components.Services {
			if inlet.Kind == &components.Inlet && components.ServiceVolts(service) == p.Doc.MainsVolts() && components.ServiceAmps(service) == inlet.Figure("rating_a").Value {
				return []rules.Fix{{Title: fmt.Sprintf("Draw %s as an outlet of %s A at %s V", site.ID, numText(components.ServiceAmps(service)), numText(p.Doc.MainsVolts())), Edits: []components.Edit{set(site.ID, "service", components.Str(service))}}}
			}
		}
	}
	return nil
}
