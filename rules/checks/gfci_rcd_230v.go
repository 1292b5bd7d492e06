package checks

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
	"rigline/rules/circuit"
)

// RCD230 asks for a residual-current device ahead of everything in a caravan.
var RCD230 = &rules.Rule{
	ID:    "gfci.rcd-230v",
	Title: "No 30 mA residual-current device protects the caravan",
	Must:  "In a 230 V caravan a residual-current device of 30 mA or less, opening line and neutral, stands ahead of every final circuit, whatever the pitch has; while an inverter makes the AC, it stands between inverter and loads.",
	Basis: []rules.Basis{
		{Source: "IEC 60364-7-721:2017", Clause: "721.411, 721.415", Says: "30 mA or less, all live conductors", Seen: rules.Published},
		{Source: "IEC 60364-7-708", Says: "each pitch outlet has one of its own; it does not replace the caravan's", Seen: rules.Published},
	},
	Set:   components.Caravan,
	Level: rules.Danger,
	Check: rcd230,
}

func rcd230(p *rules.Pass) {
	bare := map[components.ID][]components.Part{} // by source
	for _, q := range p.Doc.Parts() {
		port := usesPort(q)
		if port == "" || q.Gone() {
			continue
		}
		hot, ok := p.Circuit.At(q.ID, port, components.L)
		if !ok || !p.Circuit.Live(hot) {
			continue
		}
		open := joined(p.Circuit, hot, func(l *circuit.Link) bool {
			d, ok := p.Circuit.Device(*l)
			return !ok || !d.GFCI || !d.Neutral
		})
		for _, s := range p.Circuit.Sources {
			if open[s.Hot] {
				bare[s.Part] = append(bare[s.Part], q)
				break
			}
		}
	}
	for _, src := range p.Doc.Parts() {
		loads := bare[src.ID]
		if len(loads) == 0 {
			continue
		}
		if asked := unreadTrip(p); asked != "" {
			p.Unchecked(asked, fmt.Sprintf("the residual current at which %s trips, or whether it opens the neutral too, is not known: read it off the device (I∆n, 30 mA protects people; two poles open line and neutral)", asked), string(src.ID))
			continue
		}
		names := make([]string, len(loads))
		for i, q := range loads {
			names[i] = string(q.ID)
		}
		f := rules.Finding{
			At:      string(src.ID),
			Message: fmt.Sprintf("While %s feeds it, no residual-current device of 30 mA that opens line and neutral protects %s", src.ID, strings.Join(names, ", ")),
			Working: append([]string{"wanted on every way from " + string(src.ID) + ": 30 mA or less, line and neutral"}, nearMisses(p)...),
			Fixes:   residualFixes(p, loads),
		}
		p.Report(f)
	}
}

// unreadTrip is a device whose residual current or poles a survey could not read.
func unreadTrip(p *rules.Pass) string {
	for _, q := range p.Doc.Parts() {
		for _, key := range []string{"trip_ma", "main_trip_ma", "opens_neutral", "main_opens_neutral"} {
			if q.Told(key).IsUnknown() && !q.Gone() {
				return string(q.ID)
			}
		}
		for i, row := range q.Rows("circuits") {
			if (row["trip_ma"].IsUnknown() || row["opens_neutral"].IsUnknown()) && !q.Gone() {
				return fmt.Sprintf("%s.c%d", q.ID, i+1)
			}
		}
	}
	return ""
}

// nearMisses are the devices that trip on a residual current and do not serve.
func nearMisses(p *rules.Pass) []string {
	seen := map[string]bool{}
	var lines []string
	for i, d := range p.Circuit.Devices() {
		if seen[d.Address()] || !p.Circuit.Links[i].Join.APole.Hot() || !d.TripMA.Known() && !d.GFCI {
			continue
		}
		seen[d.Address()] = true
		switch {
		case d.TripMA.Known() && !d.GFCI:
			lines = append(lines, fmt.Sprintf("%s trips at %s mA > 30 mA", d, numText(d.TripMA.Value)))
		case !d.Neutral:
			lines = append(lines, fmt.Sprintf("%s opens the line alone", d))
		default:
			lines = append(lines, fmt.Sprintf("%s stands elsewhere", d))
		}
	}
	return lines
}

// residualFixes make the main of each panel that feeds the loads a residual-current
// device, or its circuits where it has no main.
func residualFixes(p *rules.Pass, loads []components.Part) []rules.Fix {
	var edits []components.Edit
	var names []string
	done := map[components.ID]bool{}
	for _, q := range loads {
		hot, _ := p.Circuit.At(q.ID, usesPort(q), components.L)
		id, ok := firstPanel(p, hot)
		panel, _ := p.Doc.Part(id)
		if !ok || panel.Kind != &components.Panel {
			return nil
		}
		if done[id] {
			continue
		}
		done[id] = true
		names = append(names, string(id))
		if panel.Figure("main_a").Known() {
			edits = append(edits, set(id, "main_trip_ma", components.Num(30)), set(id, "main_opens_neutral", components.Yes(true)))
			continue
		}
		rows := panel.Rows("circuits")
		next := make([]components.Spec, len(rows))
		for i, row := range rows {
			next[i] = row.With("trip_ma", components.Num(30)).With("opens_neutral", components.Yes(true))
		}
		edits = append(edits, set(id, "circuits", components.Table(next...)))
	}
	return []rules.Fix{{Title: "Fit a 30 mA residual-current device of line and neutral in " + strings.Join(names, " and "), Edits: edits}}
}
