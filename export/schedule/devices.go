package schedule

import (
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/tables"
)

// Device is one fuse or breaker: a part of its own, or one inside a panel.
type Device struct {
	Address      string // "F1", "PNL1.c3", "PNL1.main"
	Status       components.Status
	What         string // "fuse, class T", "breaker, 2-pole"
	Rating       string // A
	Volts        string // its DC rating, "" on AC
	Interrupting string // A
	Holder       string
	Feeds        []components.ID // the runs that it protects next
	Thinner      []string        // those behind it that carry less than its rating, and where they end
	Carries      []Amps          // by state
	Label        string          // what a panel calls the circuit
	Note         string
}

// Devices lists every fuse and breaker, in tag order, panels circuit by circuit.
func Devices(rig *solved.Rig) []Device {
	runs := runsBehind(rig)
	carried := carriedBy(rig)
	var all []Device
	add := func(d Device) {
		d.Carries = carried[d.Address]
		d.Feeds, d.Thinner = thinner(rig, d, runs[d.Address])
		all = append(all, d)
	}
	for _, p := range rig.Doc.Parts() {
		if p.Gone() {
			continue
		}
		status := p.Status
		if status == "" {
			status = components.New
		}
		switch p.Kind {
		case &components.Fuse:
			add(fuse(p, status))
		case &components.Battery:
			if a := p.Figure("string_fuse_a"); a.Known() {
				add(Device{Address: string(p.ID) + ".string", Status: status, What: "fuse on each of " + figure(p.Figure("parallel")) + " strings, family not told", Rating: figure(a), Volts: NotKnown, Interrupting: NotKnown, Holder: NotKnown, Label: p.Name, Note: p.Note})
			}
		case &components.DCBreaker:
			add(Device{Address: string(p.ID), Status: status, What: "DC breaker", Rating: figure(p.Figure("rating_a")), Volts: figure(p.Figure("volts_dc")), Interrupting: figure(p.Figure("interrupting_a")), Label: p.Name, Note: p.Note})
		case &components.ACBreaker:
			add(Device{Address: string(p.ID), Status: status, What: breakerWord(p.Figure("hots").Value, p.Spec["opens_neutral"], p.Spec["gfci"], p.Spec["trip_ma"]), Rating: figure(p.Figure("rating_a")), Interrupting: figure(p.Figure("interrupting_a")), Label: p.Name, Note: p.Note})
		case &components.Panel:
			if v := p.Spec["main_a"]; v.Told() {
				add(Device{Address: string(p.ID) + ".main", Status: status, What: breakerWord(p.Figure("legs").Value, p.Spec["main_opens_neutral"], components.Value{}, p.Spec["main_trip_ma"]), Rating: figure(p.Figure("main_a")), Interrupting: figure(p.Figure("interrupting_a")), Label: "main"})
			}
			for i, c := range p.Spec["circuits"].Rows() {
				hots := 1.0
				if c["leg"].Str() == "both" {
					hots = 2
				}
				add(Device{Address: fmt.Sprintf("%s.c%d", p.ID, i+1), Status: status, What: breakerWord(hots, c["opens_neutral"], c["gfci"], c["trip_ma"]), Rating: told(c["breaker_a"]), Interrupting: figure(p.Figure("interrupting_a")), Label: c["label"].Str()})
			}
		case &components.DCPanel:
			for i, c := range p.Spec["circuits"].Rows() {
				add(Device{Address: fmt.Sprintf("%s.c%d", p.ID, i+1), Status: status, What: "panel fuse", Rating: told(c["fuse_a"]), Volts: NotKnown, Interrupting: NotKnown, Label: c["label"].Str()})
			}
		case &components.Generator:
			if p.Figure("breaker_a").Known() {
				add(Device{Address: string(p.ID), Status: status, What: "breaker on the generator", Rating: figure(p.Figure("breaker_a")), Interrupting: NotKnown, Label: p.Name})
			}
		}
	}
	return all
}

func told(v components.Value) string {
	if !v.Known() {
		return NotKnown
	}
	return v.String()
}

func breakerWord(hots float64, neutral, gfci, trip components.Value) string {
	return "breaker, " + bom.Poles(hots, neutral) + bom.Residual(gfci, trip)
}

// fuse is a fuse with what is printed on it, or the cautious figures of its
// family.
func fuse(p components.Part, status components.Status) Device {
	d := Device{Address: string(p.ID), Status: status, Rating: figure(p.Figure("rating_a")), Volts: figure(p.Figure("volts_dc")), Interrupting: figure(p.Figure("interrupting_a")), Label: p.Name, Note: p.Note}
	f, ok := tables.FuseFamily(p.Word("family"))
	if !ok {
		d.What, d.Holder = "fuse, family not known", NotKnown
		return d
	}
	d.What, d.Holder = f.Name, "holder for "+f.Name
	if d.Volts == NotKnown {
		d.Volts = num(f.VoltsDC) + " (family)"
	}
	if d.Interrupting == NotKnown {
		d.Interrupting = num(f.Interrupts(f.VoltsDC)) + " at " + num(f.VoltsDC) + " V (family)"
	}
	return d
}

// runsBehind are the runs that each device protects next: those whose last device
// on the way from a source it is.
func runsBehind(rig *solved.Rig) map[string][]components.ID {
	behind := map[string][]components.ID{}
	for _, s := range rig.States {
		feeds := s.Feeds()
		for i, l := range s.Circuit.Links {
			if l.Run == "" {
				continue
			}
			for _, f := range feeds[i] {
				address := f.Last.Address()
				if f.Last.Part == "" {
					if p, _ := rig.Doc.Part(f.Source.Part); p.Kind == &components.Generator {
						address = string(p.ID)
					}
				}
				if address != "" && !slices.Contains(behind[address], l.Run) {
					behind[address] = append(behind[address], l.Run)
				}
			}
		}
	}
	for _, all := range behind {
		slices.SortFunc(all, components.CompareIDs)
	}
	return behind
}

// carriedBy is the current through each device by state: that of its most loaded
// pole.
func carriedBy(rig *solved.Rig) map[string][]Amps {
	carried := map[string][]Amps{}
	for k, s := range rig.States {
		for i, l := range s.Circuit.Links {
			d, ok := s.Circuit.Device(l)
			if !ok {
				continue
			}
			list := carried[d.Address()]
			for len(list) <= k {
				list = append(list, Amps{State: rig.States[len(list)].Name})
			}
			if a, solved := s.Solution.Amps(i); solved {
				list[k].Amps, list[k].Known = max(list[k].Amps, a), true
			}
			carried[d.Address()] = list
		}
		for _, p := range rig.Doc.Parts() {
			if address, a, ok := ownBreaker(s, p); ok {
				carried[address] = append(carried[address], Amps{State: s.Name, Amps: a, Known: s.Solved()})
			}
		}
	}
	return carried
}

// ownBreaker is the current through what a source has built in: the breaker of a
// generator, that of its most loaded hot, and the fuse of each string in a battery.
func ownBreaker(s *solved.State, p components.Part) (address string, amps float64, ok bool) {
	switch {
	case p.Gone():
		return "", 0, false
	case p.Kind == &components.Generator:
		for _, src := range s.Circuit.Sources {
			if src.Part == p.ID {
				amps = max(amps, s.Drawn(src.Hot))
			}
		}
		return string(p.ID), amps, true
	case p.Kind == &components.Battery && p.Figure("string_fuse_a").Known():
		return string(p.ID) + ".string", math.Abs(s.Solution.Flows[p.ID].DCAmps) / max(1, p.Figure("parallel").Value), true
	}
	return "", 0, false
}

// DevicesTable is the fuse and breaker schedule as a table.
func DevicesTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "devices", Title: "Fuses and breakers", None: "the drawing has no fuse and no breaker", Head: []string{"tag", "status", "what", "rating, A", "DC volts", "interrupting, A", "holder", "protects", "label"}}
	for _, s := range rig.States {
		t.Head = append(t.Head, "A, "+s.Name)
	}
	t.Head = append(t.Head, "note")
	for _, d := range Devices(rig) {
		cells := []string{d.Address, string(d.Status), d.What, d.Rating, d.Volts, d.Interrupting, d.Holder, d.protects(), d.Label}
		for k := range rig.States {
			if k < len(d.Carries) {
				cells = append(cells, orNotKnown(d.Carries[k].Amps, 2, d.Carries[k].Known))
			} else {
				cells = append(cells, NotKnown)
			}
		}
		t.Add(append(cells, d.Note)...)
	}
	return terms.Of(rig.Doc).Table(t)
}

func ids(all []components.ID) string {
	words := make([]string, len(all))
	for i, id := range all {
		words[i] = string(id)
	}
	return strings.Join(words, " ")
}
