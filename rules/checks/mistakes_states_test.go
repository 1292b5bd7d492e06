package checks_test

import (
	"slices"

	"rigline/components"
)

// stateMistakes leave a source out of what is solved.
var stateMistakes = []mistake{
	{0, "an inlet with no outlet drawn", []string{"inlet.no-site"},
		func(r *rig) []string {
			inlet, ok := pick(r, r.parts(nil, &components.Inlet))
			if !ok {
				return nil
			}
			for _, run := range r.runsAt(inlet.Ref("site")) {
				if !r.do(components.RemoveRun{ID: run.ID}) {
					return nil
				}
			}
			return []string{string(inlet.ID)}
		}},
	{0, "states told that leave the site out", []string{"supply.no-state"},
		func(r *rig) []string {
			sites := r.parts(nil, &components.Shore)
			states := slices.DeleteFunc(slices.Clone(r.doc.Operating()), func(s components.State) bool {
				return s.Shore != "" && !slices.Contains(components.Adapters, s.Shore)
			})
			if len(sites) == 0 || len(states) == 0 || !r.do(components.SetStates{States: states}) {
				return nil
			}
			return []string{string(sites[0].ID)}
		}},
	{0, "states told before the sun was drawn", []string{"supply.no-state"},
		func(r *rig) []string {
			arrays := r.parts(nil, &components.SolarArray)
			states := slices.DeleteFunc(slices.Clone(r.doc.Operating()), func(s components.State) bool { return s.Sun > 0 })
			if len(arrays) == 0 || len(states) == 0 || !r.do(components.SetStates{States: states}) {
				return nil
			}
			return []string{string(arrays[0].ID)}
		}},
}
