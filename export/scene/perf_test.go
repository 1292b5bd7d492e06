package scene

import (
	"fmt"
	"testing"

	"rigline/components"
)

// bigRig is rows of a battery, a fuse, a bar and loads, n parts and more, with
// cables along and between the rows.
func bigRig(tb testing.TB, n int) *components.Document {
	doc := components.NewDocument("Many")
	var edits []components.Edit
	add := func(kind string, id components.ID, x, y int, spec components.Spec) {
		k, ok := components.FindKind(kind)
		if !ok {
			tb.Fatal(kind)
		}
		edits = append(edits, components.AddPart{Part: components.Part{ID: id, Kind: k, At: components.Point{X: x, Y: y}, Spec: spec}})
	}
	wires := 0
	run := func(from, to string) {
		a, _ := components.ParsePortRef(from)
		b, _ := components.ParsePortRef(to)
		wires++
		edits = append(edits, components.AddRun{Run: components.Run{ID: components.ID(fmt.Sprintf("W%d", wires)), From: a, To: b,
			Spec: components.Spec{"size": components.Str("6 AWG"), "length_ft": components.Num(3)}}})
	}
	num, str := components.Num, components.Str
	for row := 0; row*6 < n; row++ {
		y, x := 200+(row%20)*240, 200+row/20*1100
		id := func(p string) components.ID { return components.ID(fmt.Sprintf("%s%d", p, row+1)) }
		add("battery", id("BAT"), x, y, components.Spec{"chemistry": str("lfp"), "nominal_v": num(12.8), "capacity_ah": num(100)})
		add("fuse", id("F"), x+140, y-60, components.Spec{"family": str("class-t"), "rating_a": num(200)})
		add("busbar", id("BUS"), x+300, y-60, components.Spec{"rating_a": num(250)})
		add("busbar", id("NEG"), x+300, y+60, components.Spec{"rating_a": num(250), "pole": str("-")})
		add("dc-load", id("DL"), x+500, y-40, components.Spec{"a": num(10)})
		add("chassis", id("CH"), x+500, y+80, nil)
		run(fmt.Sprintf("BAT%d.pos", row+1), fmt.Sprintf("F%d.line", row+1))
		run(fmt.Sprintf("F%d.load", row+1), fmt.Sprintf("BUS%d.bar", row+1))
		run(fmt.Sprintf("BAT%d.neg", row+1), fmt.Sprintf("NEG%d.bar", row+1))
		run(fmt.Sprintf("BUS%d.bar", row+1), fmt.Sprintf("DL%d.in", row+1))
		run(fmt.Sprintf("NEG%d.bar", row+1), fmt.Sprintf("DL%d.in", row+1))
		if row%20 > 0 {
			run(fmt.Sprintf("BUS%d.bar", row), fmt.Sprintf("BUS%d.bar", row+1))
		}
	}
	next, err := doc.Apply(edits...)
	if err != nil {
		tb.Fatal(err)
	}
	return next
}

func BenchmarkDraw(b *testing.B) {
	for _, n := range []int{60, 300, 1000, 5000} {
		doc := bigRig(b, n)
		b.Run(fmt.Sprintf("parts=%d", len(doc.Parts())), func(b *testing.B) {
			for b.Loop() {
				Draw(doc, Options{Frame: true})
			}
		})
	}
}

func BenchmarkRoute(b *testing.B) {
	for _, n := range []int{60, 300, 1000, 5000} {
		doc := bigRig(b, n)
		b.Run(fmt.Sprintf("parts=%d", len(doc.Parts())), func(b *testing.B) {
			for b.Loop() {
				routeAll(doc, nil)
			}
		})
	}
}
