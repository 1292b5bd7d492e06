package folio

import (
	"fmt"
	"math"
	"math/cmplx"
	"strconv"
	"strings"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/scene"
	"rigline/export/solved"
	"rigline/export/terms"
	"rigline/rules/circuit"
)

// leastAmps is below half of the last digit that is printed.
const leastAmps = 0.05

// grey tells how a drawing of a state is read.
const grey = "Grey: not fed in this state. A grey return or ground carries no current, but stays joined to the rest. A drawing is no proof that anything is dead: measure."

// position is where a device that moves by itself stands, in a word or two.
func position(c *circuit.Circuit, part components.ID, at circuit.Position) string {
	if at != circuit.AtA && at != circuit.AtB {
		return string(at)
	}
	var tags []string
	for _, id := range circuit.SuppliesAt(c.Doc, components.PortRef{Part: part, Port: string(at)}) {
		tags = append(tags, string(id))
	}
	if len(tags) == 0 {
		return "at " + string(at)
	}
	return "at " + strings.Join(tags, ", ")
}

// stateDrawings are one drawing a state: what is alive, with what current, and
// where neutral and ground meet.
func stateDrawings(in Input, plan *scene.Plan) []Drawing {
	var all []Drawing
	say := terms.Of(in.Doc)
	for i, st := range in.Rig.States {
		marks, lines := meetings(st)
		lines = append(lines, grey)
		all = append(all, Drawing{Name: "state-" + strconv.Itoa(i+1), Title: "State: " + st.Name, Lines: lines,
			Sheet: plan.Draw(scene.Options{Live: Live(st), Marks: said(marks, say)})})
	}
	return all
}

// meetings marks the places where the neutral of a live AC network meets ground,
// and tells them with what feeds what. One place is right; the marks of more, and
// the line that tells of none, are those of a danger.
func meetings(st *solved.State) (marks []scene.Mark, lines []string) {
	c := st.Circuit
	for _, isle := range c.Islands() {
		level := scene.AdviceMark
		if len(isle.Bonds) != 1 {
			level = scene.DangerMark
		}
		var at []string
		for _, b := range isle.Bonds {
			at = append(at, b.At+" ("+b.Via+")")
			marks = append(marks, scene.Mark{Address: b.At, Level: level, Text: "Neutral meets ground: " + b.Via, Letters: "N-G"})
		}
		where := "nowhere: want one place"
		switch {
		case len(at) == 1:
			where = "at " + at[0]
		case len(at) > 1:
			where = "at " + strings.Join(at, " and ") + ": want one place"
		}
		lines = append(lines, fmt.Sprintf("%s feeds AC; neutral meets ground %s.", isle.Source, where))
	}
	for _, stands := range c.Stands() {
		lines = append(lines, stands+".")
	}
	lines = append(lines, overdrawn(st)...)
	if !st.Solved() {
		lines = append(lines, "No currents: "+st.Solution.Failure.Reason+".")
	}
	return marks, append(lines, banks(st)...)
}

// banks tell what every battery does, those together that do the same.
func banks(st *solved.State) (lines []string) {
	var does []string
	tags := map[string][]string{}
	for _, p := range st.Circuit.Doc.Parts() {
		f, ok := st.Solution.Flows[p.ID]
		if !ok || p.Kind != &components.Battery || !st.Solved() {
			continue
		}
		what := "rests"
		switch {
		case f.DCAmps < -leastAmps:
			what = "gives " + amps(-f.DCAmps)
		case f.DCAmps > leastAmps:
			what = "takes " + amps(f.DCAmps)
		}
		if tags[what] == nil {
			does = append(does, what)
		}
		tags[what] = append(tags[what], string(p.ID))
	}
	for _, what := range does {
		all := tags[what]
		if verb, rest, _ := strings.Cut(what, " "); len(all) > 1 {
			what = strings.TrimSuffix(verb, "s")
			if rest != "" {
				what += " " + rest + " each"
			}
		}
		lines = append(lines, strings.Join(all, ", ")+" "+what+".")
	}
	return lines
}

// overdrawn tells where everything on at once asks more of a site than its breaker
// gives, as behind an adapter: the drawing shows what is asked, the card what may run.
func overdrawn(st *solved.State) (lines []string) {
	rated := components.ServiceAmps(st.Circuit.State.Shore)
	if rated == 0 || !st.Solved() {
		return nil
	}
	var most float64
	var sum complex128
	var site components.ID
	for _, src := range st.Circuit.Sources {
		if p, _ := st.Circuit.Doc.Part(src.Part); p.Kind != &components.Shore {
			continue
		}
		leg := 0i
		for _, i := range st.Circuit.LinksAt(src.Hot) {
			a, _ := st.Solution.Current(int(i))
			if st.Circuit.Links[i].A != src.Hot {
				a = -a
			}
			leg += a
		}
		sum, most, site = sum+leg, max(most, cmplx.Abs(leg)), src.Part
	}
	if !components.ThreeWire(st.Circuit.State.Shore) { // one hot of the site feeds all of the rig's
		most = cmplx.Abs(sum)
	}
	if most > rated*(1+1e-6) {
		lines = append(lines, fmt.Sprintf("With everything on at once %s is asked for %s, and its breaker gives %s: run only what the site card of this supply allows.", site, amps(most), amps(rated)))
	}
	return lines
}

// Live tells of every part and run whether it is alive in a state, and of every
// run the largest current of its cores and the voltage of its hot.
func Live(st *solved.State) map[components.ID]scene.LiveRun {
	doc := st.Circuit.Doc
	alive, peaks := st.Solution.Alive(), st.Peaks()
	on := make(map[components.ID]scene.LiveRun, len(doc.Parts())+len(doc.Runs()))
	for _, p := range doc.Parts() {
		on[p.ID] = scene.LiveRun{Dead: !alive[p.ID]}
	}
	for _, r := range doc.Runs() {
		run := scene.LiveRun{Dead: !alive[r.ID]}
		if peak, ok := peaks[r.ID]; ok && alive[r.ID] {
			run.Figure = amps(peak.Amps)
			if peak.Volts > 0 {
				run.Figure += fmt.Sprintf(" · %.4g V", math.Round(peak.Volts*10)/10)
			}
		}
		on[r.ID] = run
	}
	return on
}

// StateTable tells in a row a state what feeds the rig, where its devices stand,
// where neutral and ground meet, and what the bank does.
func StateTable(rig *solved.Rig) lists.Table {
	t := lists.Table{Name: "states", Title: "States", Head: []string{"State", "Fed by", "Neutral meets ground", "Devices stand", "Bank", "Alive", "Dead"}}
	for _, st := range rig.States {
		c := st.Circuit
		var fed, ground, stand, bank, on, off []string
		for _, isle := range c.Islands() {
			fed = append(fed, string(isle.Source))
			at := "nowhere"
			var places []string
			for _, b := range isle.Bonds {
				places = append(places, b.At)
			}
			if len(places) > 0 {
				at = strings.Join(places, " and ")
			}
			ground = append(ground, at)
		}
		live := Live(st)
		for _, p := range c.Doc.Parts() {
			if pos, ok := c.Positions[p.ID]; ok {
				stand = append(stand, string(p.ID)+" "+position(c, p.ID, pos))
			}
			if f, ok := st.Solution.Flows[p.ID]; ok && p.Kind == &components.Battery && st.Solved() && math.Abs(f.DCAmps) > leastAmps {
				does := " gives "
				if f.DCAmps > 0 {
					does = " takes "
				}
				bank = append(bank, string(p.ID)+does+amps(math.Abs(f.DCAmps)))
			}
			if p.Gone() || p.Kind.Role != components.Uses {
				continue
			}
			if live[p.ID].Dead {
				off = append(off, string(p.ID))
			} else {
				on = append(on, string(p.ID))
			}
		}
		if !st.Solved() {
			bank = []string{"no currents: " + st.Solution.Failure.Reason}
		}
		t.Add(st.Name, strings.Join(fed, ", "), strings.Join(ground, "; "), strings.Join(stand, ", "), strings.Join(bank, ", "), strings.Join(on, ", "), strings.Join(off, ", "))
	}
	return t
}
