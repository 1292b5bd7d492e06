// Package states tells the solved circuit of every operating state: as JSON for
// programs, as tables for people.
package states

import (
	"cmp"
	"fmt"
	"io"
	"math"
	"math/cmplx"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/lists"
	"rigline/export/terms"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

// Format is the version of the JSON.
const Format = "rigcheck/1"

// Document is the JSON of every state.
type Document struct {
	Format string  `json:"format"`
	File   string  `json:"file,omitempty"`
	States []State `json:"states"`

	terms terms.Terms // of the text; the JSON keeps its own words
}

// State is one solved state. Currents are positive from a run's from end to its
// to end; phasors are rms, their angles in degrees against leg 1 of the source.
type State struct {
	Name     string                      `json:"name"`
	Unsolved string                      `json:"unsolved,omitempty"`
	At       string                      `json:"at,omitempty"`
	AC       AC                          `json:"ac"`
	DC       DC                          `json:"dc"`
	Faults   map[string]map[string]Fault `json:"faults"`
	Assumed  map[string]string           `json:"assumed,omitempty"`
	Limited  map[components.ID]string    `json:"limited,omitempty"`
	Relays   map[components.ID]string    `json:"relays"`
	Banks    map[components.ID]Bank      `json:"banks,omitempty"`
	Check    Check                       `json:"check"`

	stands []string // where each device that moves by itself stands, in words
}

// AC is the AC network of a state.
type AC struct {
	Terminals map[string]ACVolts           `json:"terminals"`
	Cores     map[string]map[string]Phasor `json:"cores"`
	Loads     map[string]Load              `json:"loads"`
	Bonds     []Bond                       `json:"bonds"`
}

// DC is the DC network of a state.
type DC struct {
	Terminals map[string]DCVolts         `json:"terminals"`
	Cores     map[string]map[string]Amps `json:"cores"`
}

// ACVolts is a voltage against the pole that To names, at the same port.
type ACVolts struct {
	V   float64 `json:"v"`
	Deg float64 `json:"deg"`
	To  string  `json:"to"`
}

// DCVolts is a voltage against the pole that To names, at the same port.
type DCVolts struct {
	V  float64 `json:"v"`
	To string  `json:"to"`
}

// Phasor is an AC current.
type Phasor struct {
	A   float64 `json:"a"`
	Deg float64 `json:"deg"`
}

// Amps is a DC current.
type Amps struct {
	A float64 `json:"a"`
}

// Load is the voltage at a load, and the drop from its rated voltage.
type Load struct {
	V       float64 `json:"v"`
	Percent float64 `json:"drop_percent"`
}

// Bond is a live AC network's source and the places where its neutral meets
// ground.
type Bond struct {
	Island int      `json:"island"`
	Source string   `json:"source"`
	At     []string `json:"at"`
}

// Fault is the range of the prospective current between two poles.
type Fault struct {
	Highest float64                   `json:"highest_a"`
	Lowest  float64                   `json:"lowest_a"`
	From    map[components.ID]float64 `json:"from_a,omitempty"` // what each source gives to the highest
}

// Bank is a battery's current, positive while it charges, and how long it lasts.
type Bank struct {
	Amps  float64 `json:"a"`
	Watts float64 `json:"w"`
	Hours float64 `json:"hours,omitempty"` // to empty while it discharges, to full while it charges
}

// Check is the audit of the solution.
type Check struct {
	KCL     float64 `json:"kcl_worst_a"`
	Balance float64 `json:"power_imbalance"`
	Rounds  int     `json:"iterations"`
}

// Of solves the states of a document; name chooses one, "" all.
func Of(doc *components.Document, file, name string) (Document, error) {
	var names []string
	var chosen []components.State
	for _, st := range doc.Operating() {
		names = append(names, st.Name)
		if name == "" || st.Name == name {
			chosen = append(chosen, st)
		}
	}
	out := Told(file, solve.States(circuit.Lay(doc), chosen))
	if name != "" && len(out.States) == 0 {
		return out, fmt.Errorf("there is no state %q: want one of %s%s", name, strings.Join(names, ", "), components.DidYouMean(name, names))
	}
	return out, nil
}

// Told tells states that are solved.
func Told(file string, solved []*solve.Solution) Document {
	out := Document{Format: Format, File: file, States: make([]State, len(solved))}
	if len(solved) > 0 {
		out.terms = terms.Of(solved[0].Circuit.Doc)
	}
	solve.InParallel(len(solved), func(i int) { out.States[i] = one(solved[i]) })
	return out
}

func round(v float64) float64 { return math.Round(v*1e4) / 1e4 }

func degrees(z complex128) float64 {
	if cmplx.Abs(z) < 1e-6 {
		return 0
	}
	return math.Round(cmplx.Phase(z)*180/math.Pi*100) / 100
}

func one(s *solve.Solution) State {
	c := s.Circuit
	st := State{Name: c.State.Name, Faults: map[string]map[string]Fault{}, Relays: map[components.ID]string{}, Limited: s.Limited, Banks: map[components.ID]Bank{},
		AC:    AC{Terminals: map[string]ACVolts{}, Cores: map[string]map[string]Phasor{}, Loads: map[string]Load{}, Bonds: []Bond{}},
		DC:    DC{Terminals: map[string]DCVolts{}, Cores: map[string]map[string]Amps{}},
		Check: Check{s.WorstA, s.Balance, s.Rounds}}
	st.stands = c.Stands()
	for id, pos := range c.Positions {
		st.Relays[id] = string(pos)
	}
	for k, isle := range c.Islands() {
		b := Bond{Island: k + 1, Source: string(isle.Source), At: []string{}}
		for _, x := range isle.Bonds {
			b.At = append(b.At, x.At)
		}
		st.AC.Bonds = append(st.AC.Bonds, b)
	}
	for ref, byPair := range s.Faults() {
		st.Faults[ref.String()] = map[string]Fault{}
		for pair, r := range byPair {
			f := Fault{Highest: math.Round(r.Highest), Lowest: math.Round(r.Lowest)}
			for _, from := range s.Contributions(r.Between[0], r.Between[1]) {
				if f.From == nil {
					f.From = map[components.ID]float64{}
				}
				f.From[from.Part] = math.Round(from.Amps)
			}
			st.Faults[ref.String()][pair] = f
		}
	}
	if len(s.Assumed) > 0 {
		st.Assumed = map[string]string{}
		for id, why := range s.Assumed {
			st.Assumed[string(id)] = why
		}
	}
	if s.Failure != nil {
		st.Unsolved, st.At = s.Failure.Reason, string(s.Failure.At)
		return st
	}
	st.terminals(s)
	st.cores(s)
	st.loads(s)
	st.banks(s)
	return st
}

// against is the pole that a voltage is told against.
func against(p components.Pole) components.Pole {
	if p == components.Pos {
		return components.Neg
	}
	if p == components.N {
		return components.G
	}
	return components.N
}

func (st *State) terminals(s *solve.Solution) {
	c := s.Circuit
	for t, term := range c.Terms {
		if _, real := c.Doc.Part(term.Part); !real || term.Pole == components.G || term.Pole == components.Neg || term.Port == "bar" && !isPort(c, term) {
			continue
		}
		to := against(term.Pole)
		o, ok := c.Term(term.PortRef.At(to))
		if !ok {
			continue
		}
		v, ok := s.Between(circuit.Term(t), o)
		if !ok {
			continue
		}
		if term.Pole == components.Pos {
			st.DC.Terminals[term.String()] = DCVolts{round(real(v)), string(to)}
		} else {
			st.AC.Terminals[term.String()] = ACVolts{round(cmplx.Abs(v)), degrees(v), string(to)}
		}
	}
}

func isPort(c *circuit.Circuit, t components.Terminal) bool {
	p, _ := c.Doc.Part(t.Part)
	_, ok := p.Port(t.Port)
	return ok
}

func (st *State) cores(s *solve.Solution) {
	for i, l := range s.Circuit.Links {
		if l.Run == "" {
			continue
		}
		amps, ok := s.Current(i)
		if !ok {
			continue
		}
		run, pole := string(l.Run), string(l.Core.From)
		if l.Core.From.DC() {
			if st.DC.Cores[run] == nil {
				st.DC.Cores[run] = map[string]Amps{}
			}
			st.DC.Cores[run][pole] = Amps{round(real(amps))}
			continue
		}
		if st.AC.Cores[run] == nil {
			st.AC.Cores[run] = map[string]Phasor{}
		}
		st.AC.Cores[run][pole] = Phasor{round(cmplx.Abs(amps)), degrees(amps)}
	}
}

func (st *State) loads(s *solve.Solution) {
	c := s.Circuit
	for _, p := range c.Doc.Parts() {
		if p.Gone() || p.Kind != &components.ACLoad {
			continue
		}
		a, b, rated, ok := solve.LoadTerms(c, p)
		if !ok || !c.Live(a) {
			continue
		}
		if v, ok := s.Between(a, b); ok {
			st.AC.Loads[string(p.ID)] = Load{round(cmplx.Abs(v)), math.Round(1000*(1-cmplx.Abs(v)/rated)) / 10}
		}
	}
}

func (st *State) banks(s *solve.Solution) {
	for _, p := range s.Circuit.Doc.Parts() {
		f, ok := s.Flows[p.ID]
		if !ok || p.Kind != &components.Battery {
			continue
		}
		b := Bank{Amps: round(f.DCAmps), Watts: round(f.DC)}
		ah := p.Figure("capacity_ah")
		if total := ah.Value * p.Figure("parallel").Value; ah.Known() && math.Abs(f.DCAmps) > 0.05 {
			left := total * s.Circuit.State.SoC
			if f.DCAmps > 0 {
				left = total - left
			}
			b.Hours = math.Round(10*left/math.Abs(f.DCAmps)) / 10
		}
		st.Banks[p.ID] = b
	}
}

// Write tells the states as text, one table a state, the largest currents first.
func Write(w io.Writer, d Document) error {
	for _, s := range d.States {
		if _, err := io.WriteString(w, lists.Plain(s.text(d.terms))); err != nil {
			return err
		}
	}
	return nil
}

func (st State) text(t terms.Terms) string {
	var b strings.Builder
	name := strings.Join(strings.Fields(lists.Plain(t.Say(st.Name))), " ")
	fmt.Fprintf(&b, "%s\n%s\n", name, strings.Repeat("=", len([]rune(name))))
	if st.Unsolved != "" {
		fmt.Fprintf(&b, "  No solution: %s\n\n", t.Say(st.Unsolved))
		return b.String()
	}
	for _, x := range st.AC.Bonds {
		fmt.Fprintf(&b, "  %s feeds the rig; %s %s: %s\n", x.Source, t.Say("neutral meets ground"), times(len(x.At)), orNone(x.At))
	}
	for _, line := range st.stands {
		fmt.Fprintf(&b, "  %s\n", t.Say(line))
	}
	for _, id := range sorted(st.Banks) {
		k := st.Banks[id]
		switch {
		case k.Amps < 0 && k.Hours > 0:
			fmt.Fprintf(&b, "  %s gives %.1f A, %.0f W; empty in %.1f h at this rate\n", id, -k.Amps, -k.Watts, k.Hours)
		case k.Amps > 0 && k.Hours > 0:
			fmt.Fprintf(&b, "  %s takes %.1f A, %.0f W; full in %.1f h at this rate\n", id, k.Amps, k.Watts, k.Hours)
		default:
			fmt.Fprintf(&b, "  %s rests, %.1f A\n", id, math.Abs(k.Amps))
		}
	}
	type row struct {
		run   string
		cores []string
		most  float64
	}
	var rows []row
	for run, cores := range st.AC.Cores {
		r := row{run: run}
		for _, p := range components.Poles {
			if a, ok := cores[string(p)]; ok {
				r.cores = append(r.cores, fmt.Sprintf("%s %.2f A", t.Say(string(p)), a.A))
				r.most = max(r.most, a.A)
			}
		}
		rows = append(rows, r)
	}
	for run, cores := range st.DC.Cores {
		r := row{run: run}
		for _, p := range components.Poles {
			if a, ok := cores[string(p)]; ok {
				r.cores = append(r.cores, fmt.Sprintf("%s %.2f A", t.Say(string(p)), a.A))
				r.most = max(r.most, math.Abs(a.A))
			}
		}
		rows = append(rows, r)
	}
	slices.SortFunc(rows, func(x, y row) int {
		return cmp.Or(cmp.Compare(y.most, x.most), components.CompareIDs(components.ID(x.run), components.ID(y.run)))
	})
	fmt.Fprintf(&b, "\n  %-8s %s\n", "run", "current in each core")
	for _, r := range rows {
		if r.most >= 0.005 {
			fmt.Fprintf(&b, "  %-8s %s\n", r.run, strings.Join(r.cores, "   "))
		}
	}
	if len(st.AC.Loads) > 0 {
		fmt.Fprintf(&b, "\n  %-8s %8s %8s\n", "load", "V", "drop")
		ids := sorted(st.AC.Loads)
		slices.SortStableFunc(ids, func(x, y string) int { return cmp.Compare(st.AC.Loads[y].Percent, st.AC.Loads[x].Percent) })
		for _, id := range ids {
			l := st.AC.Loads[id]
			fmt.Fprintf(&b, "  %-8s %8.1f %7.1f%%\n", id, l.V, l.Percent)
		}
	}
	if len(st.Faults) > 0 {
		fmt.Fprintf(&b, "\n  %-14s %-6s %10s %10s\n", "short at", "poles", "highest A", "lowest A")
		for _, port := range sorted(st.Faults) {
			for _, pair := range sorted(st.Faults[port]) {
				f := st.Faults[port][pair]
				fmt.Fprintf(&b, "  %-14s %-6s %10.0f %10.0f%s\n", port, t.Say(pair), f.Highest, f.Lowest, f.from())
			}
		}
	}
	for _, id := range sorted(st.Assumed) {
		fmt.Fprintf(&b, "  not known: %s: %s\n", id, t.Say(st.Assumed[id]))
	}
	fmt.Fprintf(&b, "\n  checked: Kirchhoff residual %.1e A, power imbalance %.1e, %d rounds\n\n", st.Check.KCL, st.Check.Balance, st.Check.Rounds)
	return b.String()
}

// from tells which sources give to a short, where there is more than one.
func (f Fault) from() string {
	if len(f.From) < 2 {
		return ""
	}
	var each []string
	for _, id := range sorted(f.From) {
		each = append(each, fmt.Sprintf("%s %.0f", id, f.From[id]))
	}
	return "   from " + strings.Join(each, ", ")
}

func times(n int) string {
	switch n {
	case 0:
		return "nowhere"
	case 1:
		return "once"
	case 2:
		return "twice"
	}
	return fmt.Sprintf("%d times", n)
}

func orNone(words []string) string {
	if len(words) == 0 {
		return "no place"
	}
	return strings.Join(words, ", ")
}

func sorted[K ~string, V any](m map[K]V) []K {
	keys := make([]K, 0, len(m))
	for k := range m {
		keys = append(keys, k)
	}
	slices.SortFunc(keys, func(a, b K) int { return components.CompareIDs(components.ID(a), components.ID(b)) })
	return keys
}
