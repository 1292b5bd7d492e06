package schedule

import (
	"strings"

	"rigline/components"
	"rigline/export/bom"
	"rigline/export/lists"
	"rigline/export/solved"
	"rigline/export/terms"
)

// Tightened is one terminal of the torque list.
type Tightened struct {
	Terminal string          // "F1.line"
	Part     string          // what it is on
	Runs     []components.ID // the runs that end there
	Ends     string          // what is under the screw or nut
	Torque   string          // as told, or MakersLabel; never made up
}

// Torques lists the terminals at which runs end, part by part. A terminal for
// which two runs tell different torques says both.
func Torques(rig *solved.Rig) []Tightened {
	var all []Tightened
	under := map[components.ID][2]string{} // what is on the ends of a run
	for _, r := range rig.Doc.Runs() {
		if !r.Gone() {
			from, to := bom.EndsOf(rig.Doc, r)
			under[r.ID] = [2]string{ends(from), ends(to)}
		}
	}
	for _, p := range rig.Doc.Parts() {
		if p.Gone() {
			continue
		}
		for _, port := range p.PortNames() {
			at := p.Ref(port)
			t := Tightened{Terminal: at.String(), Part: nameOf(p)}
			var torques, terminations []string
			for _, r := range rig.Doc.RunsAt(at) {
				on, ok := under[r.ID]
				if !ok || bom.IsLead(rig.Doc, r) { // a plug has no screw to tighten
					continue
				}
				t.Runs = append(t.Runs, r.ID)
				side, key := 0, "from_torque_nm"
				if r.From != at {
					side, key = 1, "to_torque_nm"
				}
				torques, terminations = once(torques, torque(rig.Doc, r.Figure(key))), once(terminations, on[side])
			}
			if len(t.Runs) == 0 {
				continue
			}
			if len(torques) > 1 { // one that is told speaks for the terminal
				told := torques[:0]
				for _, s := range torques {
					if s != MakersLabel {
						told = append(told, s)
					}
				}
				torques = told
			}
			t.Torque, t.Ends = strings.Join(torques, "; "), strings.Join(terminations, "; ")
			all = append(all, t)
		}
	}
	return all
}

func once[T comparable](all []T, s T) []T {
	for _, x := range all {
		if x == s {
			return all
		}
	}
	return append(all, s)
}

// TorqueTable is the torque list as a table, with a place for the tick.
func TorqueTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "torque", Title: "Torques", None: "the drawing has no terminal", Head: []string{"terminal", "on", "runs", "termination", "torque", "tightened", "after the first trip"}}
	for _, x := range Torques(rig) {
		t.Add(x.Terminal, x.Part, ids(x.Runs), x.Ends, x.Torque, "", "")
	}
	return terms.Of(rig.Doc).Table(t)
}
