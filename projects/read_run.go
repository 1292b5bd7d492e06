package projects

import (
	"fmt"
	"slices"
	"strings"

	"gopkg.in/yaml.v3"

	"rigline/components"
)

// The keys of a run that stand before and after its fields.
var (
	runHead = []string{"id", "from", "to", "cores"}
	runTail = []string{"status", "path", "note"}
)

// lengthMetres is read in place of length_ft, and written back in feet.
const lengthMetres = "length_m"

var runKeys = slices.Concat(runHead, fieldKeys(components.RunFields), []string{lengthMetres}, runTail)

func (r *reader) runs(nodes []*yaml.Node) []components.Run {
	var runs []components.Run
	for i, n := range nodes {
		if run, ok := r.run(n, i); ok {
			runs = append(runs, run)
		}
	}
	return runs
}

func (r *reader) run(n *yaml.Node, i int) (run components.Run, ok bool) {
	before := len(r.problems) + r.dropped
	s := r.opened(n, "run", "id", i)
	found := s.entries(n, "it", runKeys, func(key string) string {
		if key == "spec" {
			return "runs have no spec: put its keys in the run itself"
		}
		return ""
	})
	if found == nil {
		return run, false
	}
	if e, told := found["id"]; told {
		if run.ID, ok = s.tag(e.value); ok {
			r.index.put(string(run.ID), n.Line, n.Column)
		}
	} else {
		s.missing(n, "id", "a tag, as in W1")
	}
	s.ends(n, found, &run)
	run.Status = s.status(found)
	run.Spec = s.runSpec(found)
	if e, told := found["path"]; told {
		for _, c := range s.list(e.value, "path", maxBends) {
			if at, ok := s.point(c, "path", true); ok {
				run.Path = append(run.Path, at)
			}
		}
	}
	if e, told := found["note"]; told {
		run.Note = s.text(e.value, "note")
	}
	return run, len(r.problems)+r.dropped == before
}

// ends reads from, to and cores, and holds them against the parts.
func (s scope) ends(n *yaml.Node, found map[string]entry, run *components.Run) {
	var from, to components.Port
	var fromOK, toOK bool
	run.From, from, fromOK = s.end(n, found, "from")
	run.To, to, toOK = s.end(n, found, "to")
	e, told := found["cores"]
	if told {
		run.Cores = s.cores(e.value, from, to, fromOK, toOK, *run)
	}
	switch {
	case !fromOK || !toOK:
	case run.From == run.To:
		s.fault(found["to"].value, "both ends are at %s: want two different ports", run.From)
	case !told && !slices.ContainsFunc(from.Poles, to.Has):
		s.fault(n, "%s (%s) and %s (%s) have no pole in common: name the cores, as in cores: [L>L1, N, G]",
			run.From, poles(from), run.To, poles(to))
	}
}

// end reads one end. ok is false where the port is not known, be it that the
// fault is here or in the part.
func (s scope) end(n *yaml.Node, found map[string]entry, key string) (at components.PortRef, port components.Port, ok bool) {
	e, told := found[key]
	if !told {
		s.missing(n, key, "PART.PORT, as in BAT1.pos")
		return at, port, false
	}
	if e.value.Kind != yaml.ScalarNode || empty(e.value) {
		s.fault(e.value, "%s is %s: want PART.PORT, as in BAT1.pos", key, shown(e.value))
		return at, port, false
	}
	at, err := components.ParsePortRef(e.value.Value)
	if err != nil {
		s.fault(e.value, "%s is %s: want PART.PORT, as in BAT1.pos", key, shown(e.value))
		return at, port, false
	}
	part, ok := s.doc.Part(at.Part)
	if !ok {
		if _, told := s.sound[at.Part]; told {
			return at, port, false // the part has its own fault
		}
		s.fault(e.value, "%s: there is no part %q%s", key, clip(string(at.Part)), s.nearPart(string(at.Part)))
		return at, port, false
	}
	if !s.sound[at.Part] {
		return at, port, false
	}
	if port, ok = part.Port(at.Port); !ok {
		names := part.PortNames()
		s.fault(e.value, "%s: %s has no port %q: want one of %s%s", key, at.Part, clip(at.Port), strings.Join(names, ", "), s.near(at.Port, names))
	}
	return at, port, ok
}

func (s scope) cores(n *yaml.Node, from, to components.Port, fromOK, toOK bool, run components.Run) []components.Core {
	nodes := s.list(n, "cores", len(components.Poles)*len(components.Poles))
	if n.Kind == yaml.SequenceNode && len(n.Content) == 0 || empty(n) {
		s.fault(n, "cores is empty: name the cores, or leave the key out for every pole that both ports have")
	}
	var cores []components.Core
	for _, c := range nodes {
		core, err := components.ParseCore(c.Value)
		switch {
		case c.Kind != yaml.ScalarNode || err != nil:
			s.fault(c, "core %s is unknown: want one of %s, or two as in L>L1", shown(c), poles(components.Port{Poles: components.Poles}))
		case slices.Contains(cores, core):
			s.fault(c, "core %s is told twice", core)
		case fromOK && !from.Has(core.From):
			s.fault(c, "core %s: %s has no %s: want one of %s", core, run.From, core.From, poles(from))
		case toOK && !to.Has(core.To):
			s.fault(c, "core %s: %s has no %s: want one of %s", core, run.To, core.To, poles(to))
		default:
			cores = append(cores, core)
		}
	}
	return cores
}

func poles(p components.Port) string {
	words := make([]string, len(p.Poles))
	for i, q := range p.Poles {
		words[i] = string(q)
	}
	return strings.Join(words, " ")
}

func (s scope) runSpec(found map[string]entry) components.Spec {
	spec := components.Spec{}
	for i := range components.RunFields {
		f := &components.RunFields[i]
		if e, told := found[f.Key]; told {
			if v, ok := s.value(f, e.value); ok && v.Told() {
				spec[f.Key] = v
			}
		}
	}
	e, told := found[lengthMetres]
	if !told {
		return spec
	}
	if feet, both := found["length_ft"]; both {
		s.fault(e.key, "%s and length_ft are both told (line %d): want one of them", lengthMetres, feet.key.Line)
		return spec
	}
	f, _ := components.RunField("length_ft")
	if e.value.Kind == yaml.ScalarNode && e.value.Value == "unknown" {
		spec[f.Key] = components.Unknown
	} else if m, ok := s.number(e.value, lengthMetres, f.Min/feetPerMetre, f.Max/feetPerMetre); ok {
		spec[f.Key] = components.Num(feet(m))
	}
	s.index.put(s.address+".length_ft", e.key.Line, e.key.Column)
	return spec
}

// feet converts a length to feet, to a tenth of a thousandth: 0.03 mm.
func feet(metres float64) float64 {
	var ft float64
	fmt.Sscanf(fmt.Sprintf("%.4f", metres*feetPerMetre), "%g", &ft)
	return ft
}
