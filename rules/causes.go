package rules

import "slices"

// fold puts findings that follow from another behind it: the rule of the cause
// says which, the two share an address and a state, and the cause is no milder
// and stands open. What a consequence explains in its turn stands behind the same cause. Nothing is lost: what is behind comes forward when its cause
// is put right or accepted.
func (r *Report) fold() {
	behind := make([]int, len(r.Findings))
	root := func(i int) int {
		for behind[i] >= 0 {
			i = behind[i]
		}
		return i
	}
	for i := range behind {
		behind[i] = -1
	}
	for i, f := range r.Findings {
		if f.Accepted != nil {
			continue
		}
		for j := range r.Findings { // a cause may stand after what it causes, where the two are as bad
			if r.Findings[j].explains(f) && root(j) != i {
				behind[i] = j
				break
			}
		}
	}
	var open []Finding
	place := make([]int, len(r.Findings))
	for i, f := range r.Findings {
		if behind[i] < 0 {
			place[i] = len(open)
			open = append(open, f)
		}
	}
	for i, f := range r.Findings {
		if behind[i] >= 0 {
			cause := &open[place[root(i)]]
			cause.Behind = append(slices.Clip(cause.Behind), f)
		}
	}
	r.Findings = open
}

func (f Finding) explains(g Finding) bool {
	return f.Accepted == nil && f.Level >= g.Level && slices.Contains(f.Rule.Explains, g.Rule.ID) &&
		(overlap(f.Addresses(), g.Addresses()) || overlap(f.Causes, g.Addresses())) && overlap(f.States, g.States)
}

func overlap(a, b []string) bool {
	return slices.ContainsFunc(a, func(x string) bool { return slices.Contains(b, x) })
}

// All are the findings with those that stand behind others.
func (r *Report) All() []Finding {
	var all []Finding
	for _, f := range r.Findings {
		all = append(all, f)
		all = append(all, f.Behind...)
	}
	return all
}
