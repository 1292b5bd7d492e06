package session

import (
	"fmt"
	"slices"

	"rigline/components"
)

// A load that is drawn to a panel's supply terminals belongs on a circuit: they lie
// ahead of every breaker. The run then ends at the first circuit that nothing is on, or
// at a new one.

// branched are the ways in which a load joins a circuit of the panel that the run is
// drawn to; none where it is not a load, or not the supply of a panel.
func branched(doc *components.Document, from, to components.PortRef) []Way {
	for _, end := range []struct{ load, supply components.PortRef }{{from, to}, {to, from}} {
		load, own, ok := doc.Port(end.load)
		panel, _, has := doc.Port(end.supply)
		if !ok || !has || !takesOnly(load.Kind, end.load.Port) || end.supply.Port != supplyOf(panel.Kind) {
			continue
		}
		port, next, first := freeCircuit(doc, panel, own.Has(components.L2))
		if next == nil {
			return nil
		}
		from, to := end.load, panel.Ref(port)
		if end.load == to {
			from, to = to, from
		}
		ways, _ := straightWays(next, from, to)
		for i := range ways {
			w := &ways[i]
			w.From, w.To, w.First, w.doc = from, to, first, next
			w.Says = fmt.Sprintf("It is on circuit %s of %s", port[1:], panel.ID)
			if len(first) > 0 {
				w.Says = fmt.Sprintf("%s has a circuit %s for it now", panel.ID, port[1:])
			}
		}
		return ways
	}
	return nil
}

// takesOnly tells whether nothing but a load hangs on a port.
func takesOnly(k *components.Kind, port string) bool {
	return k.Role == components.Uses || k == &components.Charger && port == "ac-in"
}

// supplyOf names the port that a panel is fed at, "" for what is no panel.
func supplyOf(k *components.Kind) string {
	switch k {
	case &components.Panel:
		return "main"
	case &components.DCPanel:
		return "feed"
	}
	return ""
}

// freeCircuit is the port of a panel's first circuit that nothing is on, over both legs
// or over one. Where there is none the edits add one, on the leg with fewer, and next is
// the document with it.
func freeCircuit(doc *components.Document, panel components.Part, both bool) (port string, next *components.Document, first []components.Edit) {
	rows := panel.Spec["circuits"].Rows()
	on := map[string]int{}
	for i, row := range rows {
		leg := row["leg"].Str()
		on[leg]++
		if port = fmt.Sprintf("c%d", i+1); (leg == "both") == both && len(doc.RunsAt(panel.Ref(port))) == 0 {
			return port, doc, nil
		}
	}
	f, _ := panel.Kind.Field("circuits")
	row := newRow(f)
	if panel.Kind == &components.Panel {
		leg := "L1"
		switch {
		case both:
			leg = "both"
		case panel.Figure("legs").Value == 2 && on["L2"] < on["L1"]:
			leg = "L2"
		}
		row = row.With("leg", components.Str(leg))
	}
	edit := components.Set{On: panel.ID, Key: f.Key, Value: components.Table(append(slices.Clone(rows), row)...)}
	next, err := doc.Apply(edit)
	if err != nil {
		return "", nil, nil
	}
	return fmt.Sprintf("c%d", len(rows)+1), next, []components.Edit{edit}
}
