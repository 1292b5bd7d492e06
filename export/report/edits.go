package report

import (
	"slices"

	"rigline/components"
)

// Edit is one change as a JSON object. Do names it; the other keys that it has
// follow from that, and are those of the project file:
//
//	set          on, key, value (null clears it)
//	add-part     on, kind, at, turn, name, status, spec
//	remove-part  on
//	move-part    on, at, turn
//	rename-part  on, to
//	describe     on, name, status, note, buy
//	add-run      on, from, to, cores, status, and its figures in spec
//	remove-run   on
//	reroute      on, from, to, cores, path, status, note
//	set-project  title, basis, units, ambient_c, conductor_temp_c, ampacity, rig
//	accept       rule, at, reason, by
//	unaccept     rule, at
//	set-notes    notes
//	set-states   states
//
// Each has "says": the change as an order, for a person.
type Edit map[string]any

// Do is the word that names the change.
func (e Edit) Do() string { return e.word("do") }

// Says is the change as an order.
func (e Edit) Says() string { return e.word("says") }

func (e Edit) word(key string) string { s, _ := e[key].(string); return s }

func editOf(change components.Edit) Edit {
	e := Edit{"says": change.String()}
	switch c := change.(type) {
	case components.Set:
		e["do"], e["on"], e["key"], e["value"] = "set", c.On, c.Key, plainValue(c.Value)
	case components.AddPart:
		p := c.Part
		e["do"], e["on"], e["kind"], e["at"], e["turn"] = "add-part", p.ID, p.Kind.ID, point(p.At), p.Turn
		e["name"], e["status"], e["spec"] = p.Name, status(p.Status), plainSpec(p.Spec)
	case components.RemovePart:
		e["do"], e["on"] = "remove-part", c.ID
	case components.MovePart:
		e["do"], e["on"], e["at"], e["turn"] = "move-part", c.ID, point(c.At), c.Turn
	case components.RenamePart:
		e["do"], e["on"], e["to"] = "rename-part", c.ID, c.To
	case components.Describe:
		e["do"], e["on"], e["name"], e["status"], e["note"] = "describe", c.ID, c.Name, status(c.Status), c.Note
		e["buy"] = map[string]any{"description": c.Buy.Description, "supplier": c.Buy.Supplier, "part_no": c.Buy.PartNo, "price": c.Buy.Price}
	case components.AddRun:
		e["do"], e["on"], e["from"], e["to"] = "add-run", c.Run.ID, c.Run.From.String(), c.Run.To.String()
		e["cores"], e["status"], e["spec"] = cores(c.Run.Cores), status(c.Run.Status), plainSpec(c.Run.Spec)
	case components.RemoveRun:
		e["do"], e["on"] = "remove-run", c.ID
	case components.Reroute:
		e["do"], e["on"], e["from"], e["to"] = "reroute", c.ID, c.From.String(), c.To.String()
		e["cores"], e["path"], e["status"], e["note"] = cores(c.Cores), points(c.Path), status(c.Status), c.Note
	case components.SetProject:
		e["do"], e["title"], e["basis"], e["units"] = "set-project", c.Title, c.Basis, c.Units
		e["ambient_c"], e["conductor_temp_c"], e["ampacity"] = c.AmbientC, c.ConductorTempC, c.Ampacity
		e["rig"] = map[string]any{"about": c.Rig.About, "drawn_by": c.Rig.DrawnBy, "checked_by": c.Rig.CheckedBy, "revision": c.Rig.Revision, "date": c.Rig.Date}
	case components.Accept:
		e["do"], e["rule"], e["at"], e["reason"], e["by"] = "accept", c.Rule, list(c.On), c.Reason, c.By
	case components.Unaccept:
		e["do"], e["rule"], e["at"] = "unaccept", c.Rule, list(c.On)
	case components.SetNotes:
		notes := []map[string]any{}
		for _, n := range c.Notes {
			notes = append(notes, map[string]any{"form": n.Form, "at": point(n.At), "to": point(n.To), "text": n.Text})
		}
		e["do"], e["notes"] = "set-notes", notes
	case components.SetStates:
		states := []map[string]any{}
		for _, s := range c.States {
			states = append(states, map[string]any{"name": s.Name, "shore": s.Shore, "generator": s.Generator, "sun": s.Sun,
				"engine": s.Engine, "soc": s.SoC, "off": list(s.Off), "on": list(s.On), "bypass": s.Bypass})
		}
		e["do"], e["states"] = "set-states", states
	}
	return e
}

func status(s components.Status) string {
	if s == "" {
		return string(components.New)
	}
	return string(s)
}

func point(p components.Point) [2]int { return [2]int{p.X, p.Y} }

func points(path []components.Point) [][2]int {
	all := [][2]int{}
	for _, p := range path {
		all = append(all, point(p))
	}
	return all
}

// cores are the cores as the file writes them; none told is every pole that both
// ports have.
func cores(told []components.Core) []string {
	all := []string{}
	for _, c := range told {
		all = append(all, c.String())
	}
	return all
}

// plainValue is a value as JSON: a number, text, truth or list, "unknown" as the
// file says it, null for an absent one.
func plainValue(v components.Value) any {
	switch {
	case !v.Told():
		return nil
	case v.IsUnknown():
		return "unknown"
	}
	switch v.Type() {
	case components.Number:
		return v.Num()
	case components.Truth:
		return v.Truth()
	case components.List:
		return slices.Clone(list(v.Words()))
	case components.Rows:
		rows := []map[string]any{}
		for _, r := range v.Rows() {
			rows = append(rows, plainSpec(r))
		}
		return rows
	}
	return v.Str()
}

func plainSpec(s components.Spec) map[string]any {
	plain := map[string]any{}
	for key, v := range s {
		plain[key] = plainValue(v)
	}
	return plain
}
