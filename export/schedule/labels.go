package schedule

import (
	"fmt"
	"math"
	"slices"
	"strings"
	"sync"

	"rigline/components"
	"rigline/components/units"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/circuit"
	"rigline/rules/tables"
)

// Label is one label to print.
type Label struct {
	Sort     string // "run", "part", "warning"
	Text     string
	Where    string
	Quantity int
	Why      string
}

// Labels are the tags of both ends of every run, the tags of the parts, and the
// warnings that this rig calls for.
func Labels(rig *solved.Rig) []Label {
	var all []Label
	for _, r := range rig.Doc.Runs() {
		if r.Gone() {
			continue
		}
		text := fmt.Sprintf("%s  %s to %s", r.ID, r.From, r.To)
		if s, ok := r.Size(components.L); ok {
			text += "  " + s.String()
		}
		all = append(all, Label{Sort: "run", Text: text, Where: fmt.Sprintf("both ends of %s", r.ID), Quantity: 2, Why: "the same tag at both ends"})
	}
	for _, p := range rig.Doc.Parts() {
		if p.Gone() || p.Kind == &components.Shore || p.Kind == &components.Splice {
			continue
		}
		text := string(p.ID)
		if p.Name != "" {
			text += "  " + p.Name
		}
		if rating := p.Kind.Rating(p.Spec); rating != "" {
			text += "  " + rating
		}
		all = append(all, Label{Sort: "part", Text: text, Where: "on " + string(p.ID), Quantity: 1, Why: "the tag of the drawing"})
	}
	return append(all, warnings(rig)...)
}

// warnings are the warning labels. Their wording is our own; that such labels are
// wanted is common practice, and of the inlet, the inverter and the array NEC
// 551.46(D), 551.20, 690.7(D) from memory: look the wording up where it matters.
func warnings(rig *solved.Rig) []Label {
	var all []Label
	add := func(where, why, text string, args ...any) {
		all = append(all, Label{Sort: "warning", Text: fmt.Sprintf(text, args...), Where: where, Quantity: 1, Why: why})
	}
	sunny := sync.OnceValue(func() *circuit.Circuit { return rig.Layout.In(components.State{Name: "in the sun", Sun: 1}) })
	inverter, noticed := "", false
	for _, p := range rig.Doc.Parts() {
		if !p.Gone() && (p.Kind == &components.Inverter || p.Kind == &components.InverterCharger) && inverter == "" {
			inverter = string(p.ID)
		}
	}
	for _, p := range rig.Doc.Parts() {
		if p.Gone() {
			continue
		}
		id := string(p.ID)
		switch p.Kind {
		case &components.Inlet:
			add("beside "+id, "so that no other cord is plugged in", "This rig's inlet %s is for %s A, %s, %v Hz", id, figure(p.Figure("rating_a")), voltsOfInlet(rig.Doc, p), rig.Doc.MainsHertz())
			if inverter != "" {
				add("beside "+id, "a second source behind the inlet", "An inverter is installed. Circuits may be alive with the cord unplugged")
			}
		case &components.Panel:
			if rig.Doc.Basis == components.Caravan && !noticed { // IEC 60364-7-721 721.514, from memory: a notice of use beside the main isolator
				noticed = true
				add("beside the main isolator in "+id, "a caravan tells how its supply is connected", "%s", caravanNotice)
			}
			if all := suppliesOf(rig.Doc, p); len(all) > 1 {
				last := len(all) - 1
				add("on the door of "+id, "more than one source", "Fed by %s and %s. Switch off all of them, and show it dead, before opening", strings.Join(all[:last], ", "), all[last])
			}
			if !p.Is("neutral_bonded") {
				add("inside "+id, "a second bond would put current on the frame", "The neutral floats in this panel. Fit no bonding screw or strap here")
			}
		case &components.Battery:
			amps, known := bankFault(rig, p)
			text := "Battery: a short circuit draws more current than a tool or a ring survives; how much is not known"
			if known {
				text = fmt.Sprintf("Battery: a short circuit at the posts may draw %s. Cover the posts, insulate tools", kiloamps(amps))
			}
			add("on "+id, "prospective current by the drawing", "%s", text)
		case &components.SolarArray:
			if v, ok := coldVoc(rig, sunny(), p); ok {
				add("at the array's disconnect and "+id, "cold open-circuit voltage and short-circuit current by the drawing", "Solar: alive whenever there is light. Up to %.0f V, short circuit %s A. Open before the battery", math.Ceil(v), isc(p))
			} else {
				add("at the array's disconnect and "+id, "its highest voltage is not known", "Solar: alive whenever there is light. Open before the battery")
			}
		case &components.Generator:
			add("at the start of "+id, "carbon monoxide kills", "Never run %s in a closed space or beside an open window", id)
		case &components.TransferSwitch:
			add("on "+id, "two supplies meet here", "Two supplies end here. Both are to be switched off before opening")
		case &components.Inverter, &components.InverterCharger:
			add("on "+id, "stored charge", "Open only with the battery and every supply disconnected, and after its capacitors have emptied: measure")
		}
	}
	return all
}

// caravanNotice is how the supply of a caravan is connected and kept; the wording is ours.
const caravanNotice = "To connect: main isolator off, unroll the lead, plug it into the caravan first and into the pitch outlet last, main isolator on, press the test button of the residual-current device: it must trip. " +
	"To disconnect: main isolator off, pitch outlet first. Whatever does not work or tingles: disconnect, and have it seen to. Inspection of the installation: every three years, every year if used often"

func voltsOfInlet(doc *components.Document, p components.Part) string {
	if doc.Basis != components.Caravan && p.Figure("rating_a").Value >= 50 {
		return "120/240 V"
	}
	return fmt.Sprintf("%v V", doc.MainsVolts())
}

// bankFault is the highest prospective current at a battery's posts, in amperes.
func bankFault(rig *solved.Rig, p components.Part) (float64, bool) {
	s := rig.States[0]
	a, okA := s.Circuit.At(p.ID, "pos", components.Pos)
	b, okB := s.Circuit.At(p.ID, "neg", components.Neg)
	if !okA || !okB {
		return 0, false
	}
	f, ok := s.Solution.HighestFault(a, b)
	if _, missing := s.Solution.Assumed[p.ID]; missing {
		return 0, false
	}
	return f.Amps, ok
}

// kiloamps rounds up to the next hundred amperes.
func kiloamps(a float64) string { return fmt.Sprintf("%.1f kA", math.Ceil(a/100)/10) }

// coldVoc is the open-circuit voltage on the coldest morning, in volts, of the string
// that an array stands in: all of it where arrays stand in series.
func coldVoc(rig *solved.Rig, sunny *circuit.Circuit, p components.Part) (float64, bool) {
	inString := []components.ID{p.ID}
	for _, q := range rig.Doc.Parts() {
		if q.Kind == &components.SolarArray && !q.Gone() && !sunny.Carries(q.ID) {
			if all := sunny.InSeries(q.ID); slices.Contains(all, p.ID) {
				inString = all
			}
		}
	}
	sum := 0.0
	for _, id := range inString {
		q, _ := rig.Doc.Part(id)
		series, voc, beta, cold := q.Figure("series"), q.Figure("voc_v"), q.Figure("voc_pct_per_c"), q.Figure("coldest_c")
		if !series.Known() || !voc.Known() || !beta.Known() || !cold.Known() {
			return 0, false
		}
		v, err := tables.ColdVoc(units.Volt(voc.Value*series.Value), beta.Value, units.Celsius(cold.Value))
		if err != nil {
			return 0, false
		}
		sum += float64(v)
	}
	return sum, true
}

// suppliesOf are the sources that a panel may be alive from, in words: through an
// inverter/charger those of its input too.
func suppliesOf(doc *components.Document, panel components.Part) []string {
	var found []components.ID
	var add func(at components.PortRef)
	add = func(at components.PortRef) {
		for _, id := range circuit.SuppliesAt(doc, at) {
			if slices.Contains(found, id) {
				continue
			}
			found = append(found, id)
			if p, _ := doc.Part(id); p.Kind == &components.InverterCharger {
				add(p.Ref("ac-in"))
			}
		}
	}
	for _, port := range panel.PortNames() {
		add(panel.Ref(port))
	}
	slices.SortFunc(found, components.CompareIDs)
	var words []string
	for _, id := range found {
		p, _ := doc.Part(id)
		word := "the inverter"
		switch p.Kind {
		case &components.Shore:
			word = "the site"
		case &components.Generator:
			word = "the generator"
		}
		words = append(words, word+" "+string(id))
	}
	return words
}

func isc(p components.Part) string {
	i, n := p.Figure("isc_a"), p.Figure("parallel")
	if !i.Known() || !n.Known() {
		return NotKnown
	}
	return num(math.Round(i.Value*n.Value*10) / 10)
}

// LabelsTable is the labels as a table.
func LabelsTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "labels", Title: "Labels", None: "the drawing has nothing to label", Head: []string{"sort", "text", "where", "quantity", "why"}}
	for _, l := range Labels(rig) {
		t.Add(l.Sort, l.Text, l.Where, fmt.Sprint(l.Quantity), l.Why)
	}
	return terms.Of(rig.Doc).Table(t)
}
