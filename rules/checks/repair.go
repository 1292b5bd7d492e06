package checks

import (
	"fmt"
	"math"
	"slices"

	"rigline/components"
	"rigline/rules"
)

// insert puts a part into a run, its line side towards the run's from end, the
// first piece as long as first feet. The first piece keeps the run's tag.
func insert(doc *components.Document, run components.Run, part components.Part, line, load string, first float64) []components.Edit {
	head, tail := run, run
	head.To = part.Ref(line)
	tail.From = part.Ref(load)
	tail.ID = doc.FreeID("W")
	head.Path, tail.Path = nil, nil
	if length := run.Figure("length_ft"); length.Known() {
		first = tenth(min(first, length.Value))
		head.Spec = run.Spec.With("length_ft", components.Num(first))
		tail.Spec = run.Spec.With("length_ft", components.Num(tenth(max(0, length.Value-first))))
	}
	return []components.Edit{components.RemoveRun{ID: run.ID}, components.AddPart{Part: part}, components.AddRun{Run: head}, components.AddRun{Run: tail}}
}

// tenth rounds a length to tenths of a foot, as a tape is read.
func tenth(feet float64) float64 { return math.Round(feet*10) / 10 }

// clearTold takes fields out that were told, and leaves the rest alone.
func clearTold(part components.Part, keys ...string) []components.Edit {
	var edits []components.Edit
	for _, k := range keys {
		if part.Told(k).Told() {
			edits = append(edits, set(part.ID, k, components.Value{}))
		}
	}
	return edits
}

// classT makes a fuse a class T fuse of the next rating.
func classT(part components.Part, rating float64) []components.Edit {
	return append([]components.Edit{set(part.ID, "family", components.Str("class-t")), set(part.ID, "rating_a", components.Num(rating))},
		clearTold(part, "volts_dc", "interrupting_a")...)
}

// towards is a place on the sheet a few modules from one port towards another,
// clear of both symbols.
func towards(doc *components.Document, from, to components.PortRef) components.Point {
	p, a, _ := doc.Port(from)
	q, b, _ := doc.Port(to)
	start, end := p.At.Add(a.At), q.At.Add(b.At)
	out := map[components.Side]components.Point{components.Left: {X: -60}, components.Right: {X: 60}, components.Top: {Y: -60}, components.Bottom: {Y: 60}}[a.Side]
	at := start.Add(out)
	if near(at, end, 40) {
		at = components.Point{X: (start.X + end.X) / 2, Y: (start.Y + end.Y) / 2}
	}
	return snap(clear(doc, at))
}

func near(a, b components.Point, reach int) bool {
	return max(a.X-b.X, b.X-a.X) < reach && max(a.Y-b.Y, b.Y-a.Y) < reach
}

// clear looks around a place for one where no part stands.
func clear(doc *components.Document, at components.Point) components.Point {
	for ring := 0; ring < 12; ring++ {
		for _, d := range []components.Point{{}, {Y: -40}, {Y: 40}, {X: 60}, {X: -60}, {X: 60, Y: -40}, {X: -60, Y: 40}} {
			try := components.Point{X: at.X + d.X*ring, Y: at.Y + d.Y*ring}
			if free(doc, try) {
				return try
			}
		}
	}
	return at
}

func free(doc *components.Document, at components.Point) bool {
	bodies := doc.Bodies()
	for i, p := range doc.Parts() {
		b := bodies[i]
		w, h := max(b.Max.X, -b.Min.X)+30, max(b.Max.Y, -b.Min.Y)+20
		if p.Turn%180 != 0 {
			w, h = h, w
		}
		if at.X > p.At.X-w && at.X < p.At.X+w && at.Y > p.At.Y-h && at.Y < p.At.Y+h {
			return false
		}
	}
	return true
}

func snap(p components.Point) components.Point {
	r := func(v int) int { return (v + components.Module/2) / components.Module * components.Module }
	return components.Point{X: r(p.X), Y: r(p.Y)}
}

// set is the edit that tells one field.
func set(on components.ID, key string, v components.Value) components.Edit {
	return components.Set{On: on, Key: key, Value: v}
}

// numText prints a number with up to four digits that count, and no exponent.
func numText(v float64) string {
	if math.Abs(v) >= 1000 {
		return fmt.Sprintf("%.0f", v)
	}
	return fmt.Sprintf("%.4g", v)
}

// sortedIDs are tags in a person's order, each once.
func sortedIDs(ids []components.ID) []components.ID {
	slices.SortFunc(ids, components.CompareIDs)
	return slices.Compact(ids)
}

// insertInPole puts a part of one pole into that core of a run, halfway. The other
// cores stay one run.
func insertInPole(doc *components.Document, run components.Run, pole components.Pole, part components.Part, line, load string) []components.Edit {
	cores := doc.CoresOf(run)
	half := run.Figure("length_ft").Value / 2
	if len(cores) == 1 {
		return insert(doc, run, part, line, load, half)
	}
	rest, head, tail := run, run, run
	rest.Cores = slices.DeleteFunc(slices.Clone(cores), func(c components.Core) bool { return c.From == pole })
	one := []components.Core{{From: pole, To: pole}}
	head.To, head.Cores, head.Path = part.Ref(line), one, nil
	tail.From, tail.Cores, tail.Path = part.Ref(load), one, nil
	head.ID = doc.FreeID("W")
	if run.Figure("length_ft").Known() {
		head.Spec = run.Spec.With("length_ft", components.Num(tenth(half)))
		tail.Spec = run.Spec.With("length_ft", components.Num(tenth(run.Figure("length_ft").Value-half)))
	}
	edits := []components.Edit{components.RemoveRun{ID: run.ID}, components.AddRun{Run: rest}, components.AddPart{Part: part}, components.AddRun{Run: head}}
	next, err := doc.Apply(edits...)
	if err != nil {
		return nil
	}
	tail.ID = next.FreeID("W")
	return append(edits, components.AddRun{Run: tail})
}

// takeOff takes a part off the drawing, with what ends at it, where a person chooses so.
func takeOff(doc *components.Document, id components.ID) rules.Fix {
	return rules.Fix{Title: fmt.Sprintf("Take %s off the drawing", id), Edits: doc.Delete(id), TakesOff: true}
}
