package schedule

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/checks"
	"rigline/rules/circuit"
)

// OutOfOrder is what to do when an inverter has failed.
type OutOfOrder struct {
	Inverter components.Part
	Lost     []components.ID // loads that nothing else feeds
	Steps    []string
}

// OutOfOrders tells of every inverter what is dark without it, and which way round
// this rig has. No way is made up: where none is drawn or told it says so.
func OutOfOrders(rig *solved.Rig) []OutOfOrder {
	var all []OutOfOrder
	if len(rig.States) == 0 {
		return nil
	}
	for _, p := range rig.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Inverter && p.Kind != &components.InverterCharger {
			continue
		}
		lost, otherwise := checks.LostWithout(rig.States[0].Circuit, p.ID)
		x := OutOfOrder{Inverter: p, Lost: lost}
		say := func(format string, args ...any) { x.Steps = append(x.Steps, fmt.Sprintf(format, args...)) }
		say("Read what %s shows and write it down before anything is switched", named(p))
		say("Switch %s off at its own switch, wait a minute, switch it on again once; a fault that comes back is not reset a second time", p.ID)
		say("If it stays dead: measure whether the battery's voltage reaches it, where that needs no cover off; then make it dead by the order of isolation and look at its fuses and breakers")
		ids := make([]string, len(lost))
		for i, id := range lost {
			q, _ := rig.Doc.Part(id)
			ids[i] = named(q)
		}
		breakers, supplies := upstream(rig.Doc, p.Ref("ac-in"))
		switch {
		case len(lost) == 0 && otherwise:
			_, all := namedSupplies(rig.Doc, allSupplies(rig.Doc))
			say("What it feeds is fed on by %s: turn the transfer switch, or let it turn", all)
		case len(lost) == 0:
			say("Nothing on this drawing hangs on it alone")
		case !otherwise:
			say("Dark without it: %s. Nothing else on this drawing makes mains", strings.Join(ids, ", "))
		case p.Word("way_round") == "bypass-switch":
			say("With %s off, turn the bypass switch of %s; then %s feeds %s", breakers, p.ID, supplies, strings.Join(ids, ", "))
			say("Before it is turned back: %s off again, and the inverter off", breakers)
		case p.Word("way_round") == "plug":
			say("With %s off, move the plug of %s to the outlet beside it that the supply feeds; then %s feeds %s", breakers, p.ID, supplies, strings.Join(ids, ", "))
		case p.Word("way_round") == "none":
			say("Dark without it: %s. There is no way round it. Never join its input to its output with a lead of your own: fit a bypass switch that joins one source at a time", strings.Join(ids, ", "))
		default:
			say("Dark without it, unless there is a way round that this drawing does not tell of: %s. Never join its input to its output with a lead of your own", strings.Join(ids, ", "))
		}
		if a := p.Figure("charge_a"); p.Kind == &components.InverterCharger && !(a.Known() && a.Value == 0) {
			say("%s", uncharged(rig, p))
		}
		all = append(all, x)
	}
	return all
}

// upstream names the supplies that a port leads to, and their breakers; those of the rig
// where it leads to none, as an inverter has no input.
func upstream(doc *components.Document, at components.PortRef) (breakers, supplies string) {
	ids := circuit.SuppliesAt(doc, at)
	if len(ids) == 0 {
		ids = allSupplies(doc)
	}
	return namedSupplies(doc, ids)
}

// namedSupplies names supplies and their breakers: "the site's breaker and GEN1's" and
// "the site or GEN1 (Generator)"; the site where there is none, as with an inlet alone.
func namedSupplies(doc *components.Document, ids []components.ID) (breakers, supplies string) {
	var whose, who []string
	for _, id := range ids {
		if p, _ := doc.Part(id); p.Kind == &components.Generator {
			whose, who = append(whose, string(id)+"'s"), append(who, named(p))
		} else if !slices.Contains(who, "the site") {
			whose, who = append(whose, "the site's"), append(who, "the site")
		}
	}
	if len(who) == 0 {
		whose, who = []string{"the site's"}, []string{"the site"}
	}
	whose[0] += " breaker"
	return and(whose), strings.Join(who, " or ")
}

// allSupplies are the site supplies and generators of a rig.
func allSupplies(doc *components.Document) []components.ID {
	var all []components.ID
	for _, p := range doc.Parts() {
		if !p.Gone() && (p.Kind == &components.Shore || p.Kind == &components.Generator) {
			all = append(all, p.ID)
		}
	}
	return all
}

// uncharged tells what becomes of an inverter/charger's bank while it is out.
func uncharged(rig *solved.Rig, inv components.Part) string {
	c := rig.States[0].Circuit
	at := func(id components.ID, port string) (circuit.Term, bool) {
		t, ok := c.At(id, port, components.Pos)
		return t, ok
	}
	own, ok := at(inv.ID, "dc")
	var other []string
	for _, p := range rig.Doc.Parts() {
		if p.Gone() || !ok || p.ID == inv.ID {
			continue
		}
		port := map[*components.Kind]string{&components.Charger: "dc", &components.SolarController: "battery", &components.DCCharger: "out", &components.Alternator: "out", &components.InverterCharger: "dc"}[p.Kind]
		t, found := at(p.ID, port)
		if port == "" || !found || c.Net(t) != c.Net(own) {
			continue
		}
		word := map[*components.Kind]string{&components.Charger: "the charger", &components.SolarController: "the sun", &components.DCCharger: "the engine", &components.Alternator: "the engine"}[p.Kind]
		if p.Kind == &components.InverterCharger {
			if a := p.Figure("charge_a"); a.Known() && a.Value == 0 {
				continue
			}
			word = named(p)
		}
		if in, found := at(p.ID, "in"); found && p.Kind == &components.DCCharger && !engineAt(rig.States[0], in) {
			word = named(p)
		}
		if !slices.Contains(other, word) {
			other = append(other, word)
		}
	}
	if len(other) == 0 {
		return "While it is out nothing charges its bank: spare it"
	}
	return "While it is out it charges its bank no more: spare it; what else charges that is " + strings.Join(other, " and ")
}

// engineAt tells whether an engine's battery or alternator stands on a net.
func engineAt(st *solved.State, t circuit.Term) bool {
	for _, of := range st.StringsAt(t) {
		if of.Top().Word("role") == "starting" {
			return true
		}
	}
	for _, q := range st.Circuit.Doc.Parts() {
		if q.Kind != &components.Alternator || q.Gone() {
			continue
		}
		if out, found := st.Circuit.At(q.ID, "out", components.Pos); found && st.Circuit.Net(out) == st.Circuit.Net(t) {
			return true
		}
	}
	return false
}

// OutOfOrderTable is the same as a table.
func OutOfOrderTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "out-of-order", Title: "When the inverter is out of order", None: "the drawing has no inverter", Head: []string{"inverter", "step", "do"}}
	for _, x := range OutOfOrders(rig) {
		for i, s := range x.Steps {
			t.Add(string(x.Inverter.ID), fmt.Sprint(i+1), s)
		}
	}
	return terms.Of(rig.Doc).Table(t)
}
