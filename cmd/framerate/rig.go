package main

import (
	"fmt"

	"rigline/components"
	"rigline/projects"
)

// rig is a sample laid beside and below itself until it has n parts or a few more.
func rig(n int) (*components.Document, error) {
	sample, ok := projects.FindSample("library-bus")
	if !ok {
		return nil, fmt.Errorf("there is no sample library-bus")
	}
	one := sample.Document()
	doc := components.NewDocument(fmt.Sprintf("%d parts", n))
	const across, wide, high = 12, 1500, 1100
	var edits []components.Edit
	tag := func(id components.ID, copy int) components.ID {
		return components.ID(fmt.Sprintf("%sx%d", id, copy))
	}
	for k := 0; k*len(one.Parts()) < n; k++ {
		by := components.Point{X: k % across * wide, Y: k / across * high}
		for _, p := range one.Parts() {
			p.ID, p.At = tag(p.ID, k), p.At.Add(by)
			edits = append(edits, components.AddPart{Part: p})
		}
		for _, r := range one.Runs() {
			r.ID, r.From.Part, r.To.Part = tag(r.ID, k), tag(r.From.Part, k), tag(r.To.Part, k)
			path := make([]components.Point, len(r.Path))
			for i, q := range r.Path {
				path[i] = q.Add(by)
			}
			if r.Path = path; len(path) == 0 {
				r.Path = nil
			}
			edits = append(edits, components.AddRun{Run: r})
		}
	}
	return doc.Apply(edits...)
}
