package schedule

import (
	"fmt"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
)

// Directory is the list for the door of one panel.
type Directory struct {
	Panel    components.ID
	Name     string
	Rating   string // "main 50 A, 100 A bus"
	Circuits []Circuit
}

// Circuit is one line of a directory.
type Circuit struct {
	Number  int
	Leg     string // "L1", "L2", "L1 and L2", "" where there is but one
	Device  string // "20 A", "20 A, ground-fault protected"
	Label   string
	Loads   []string // what hangs on it: "LD1 Air conditioner"
	Amps    []Amps   // by state
	AliveIn []string // the states in which it is alive
}

// Directories lists the panels, AC and DC, in tag order.
func Directories(rig *solved.Rig) []Directory {
	carried := carriedBy(rig)
	var all []Directory
	for _, p := range rig.Doc.Parts() {
		if p.Gone() || p.Kind != &components.Panel && p.Kind != &components.DCPanel {
			continue
		}
		d := Directory{Panel: p.ID, Name: nameOf(p), Rating: p.Kind.Rating(p.Spec)}
		rows := p.Spec["circuits"].Rows()
		for i, row := range rows {
			port := fmt.Sprintf("c%d", i+1)
			c := Circuit{Number: i + 1, Label: row["label"].Str(), Amps: carried[string(p.ID)+"."+port], Loads: loadsOn(rig.Doc, p.Ref(port))}
			amps := row["breaker_a"]
			if p.Kind == &components.DCPanel {
				amps = row["fuse_a"]
			}
			c.Device = "rating not known"
			if amps.Known() {
				c.Device = amps.String() + " A"
			}
			c.Device += bom.Residual(row["gfci"], row["trip_ma"])
			if p.Kind == &components.Panel && p.Figure("legs").Value == 2 {
				if c.Leg = row["leg"].Str(); c.Leg == "both" {
					c.Leg = "L1 and L2"
				}
			}
			for _, s := range rig.States {
				if aliveAt(s, p.Ref(port)) {
					c.AliveIn = append(c.AliveIn, s.Name)
				}
			}
			d.Circuits = append(d.Circuits, c)
		}
		all = append(all, d)
	}
	return all
}

func nameOf(p components.Part) string {
	if p.Name != "" {
		return p.Name
	}
	return p.Kind.Title
}

// aliveAt tells whether every hot of a port, or its positive, is alive.
func aliveAt(s *solved.State, at components.PortRef) bool {
	found := false
	for _, pole := range []components.Pole{components.L1, components.L2, components.L, components.Pos} {
		if t, ok := s.Circuit.Term(at.At(pole)); ok {
			if !s.Circuit.Live(t) {
				return false
			}
			found = true
		}
	}
	return found
}

// loadsOn are the parts that hang on a port, through splices, each with its name.
func loadsOn(doc *components.Document, at components.PortRef) []string {
	var all []string
	seen := map[components.ID]bool{at.Part: true}
	var walk func(at components.PortRef)
	walk = func(at components.PortRef) {
		for _, r := range doc.RunsAt(at) {
			if r.Gone() {
				continue
			}
			p, ok := doc.Part(r.Other(at).Part)
			if !ok || seen[p.ID] {
				continue
			}
			seen[p.ID] = true
			if p.Kind == &components.Splice {
				for _, port := range p.PortNames() {
					walk(p.Ref(port))
				}
				continue
			}
			if p.Kind.Role == components.Carries || p.Kind.Role == components.Bonds {
				continue // a bar or the frame is where it returns
			}
			text := string(p.ID)
			if p.Name != "" {
				text += " " + p.Name
			}
			all = append(all, text)
		}
	}
	walk(at)
	slices.SortFunc(all, func(a, b string) int { return components.CompareIDs(components.ID(a), components.ID(b)) })
	return all
}

// PanelsTable is the directories as one table.
func PanelsTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "panels", Title: "Panel directories", None: "the drawing has no panel", Head: []string{"panel", "name", "circuit", "leg", "device", "label", "feeds", "alive in"}}
	for _, s := range rig.States {
		t.Head = append(t.Head, "A, "+s.Name)
	}
	for _, d := range Directories(rig) {
		for _, c := range d.Circuits {
			cells := []string{string(d.Panel), d.Name, fmt.Sprint(c.Number), c.Leg, c.Device, c.Label, strings.Join(c.Loads, "; "), strings.Join(c.AliveIn, "; ")}
			for k := range rig.States {
				if k < len(c.Amps) {
					cells = append(cells, orNotKnown(c.Amps[k].Amps, 2, c.Amps[k].Known))
				} else {
					cells = append(cells, NotKnown)
				}
			}
			t.Add(cells...)
		}
	}
	return terms.Of(rig.Doc).Table(t)
}
