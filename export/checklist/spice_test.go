package checklist

import (
	"fmt"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/components/units"
	"rigline/export/solved"
	"rigline/projects"
	"rigline/rules/nodal/spice"
	"rigline/rules/tables"
)

// loop writes the DC side of a document as a deck, from the drawing and the
// published tables alone: contacts are wires, cores are resistors, batteries are
// voltages behind resistances at half charge, and the inverter takes a current.
type loop struct {
	doc *components.Document
	up  map[components.Terminal]components.Terminal
	num map[components.Terminal]int
}

func (l *loop) root(t components.Terminal) components.Terminal {
	for {
		o, ok := l.up[t]
		if !ok {
			return t
		}
		t = o
	}
}

func (l *loop) join(a, b components.Terminal) {
	if a, b = l.root(a), l.root(b); a != b {
		l.up[a] = b
	}
}

// node numbers from 1; ngspice's 0 is the ground of the deck.
func (l *loop) node(t components.Terminal) int {
	t = l.root(t)
	if l.num[t] == 0 {
		l.num[t] = len(l.num) + 1
	}
	return l.num[t]
}

func (l *loop) deck(t *testing.T, inverter components.ID, amps float64) string {
	var b strings.Builder
	b.WriteString("* the way from the bank to the inverter\n")
	for _, p := range l.doc.Parts() {
		for _, j := range p.Kind.Joins(p.Spec) {
			if j.APole.DC() && j.BPole.DC() && (j.When == components.Fixed || j.When == components.Closable) && !p.Gone() {
				l.join(p.Ref(j.APort).At(j.APole), p.Ref(j.BPort).At(j.BPole))
			}
		}
	}
	k := 0
	line := func(format string, args ...any) {
		k++
		fmt.Fprintf(&b, format+"\n", append([]any{k}, args...)...)
	}
	ground := ""
	for _, r := range l.doc.Runs() {
		if r.Gone() {
			continue
		}
		for _, c := range l.doc.CoresOf(r) {
			if !c.From.DC() || !c.To.DC() {
				continue
			}
			size, ok := r.Size(c.From)
			require.True(t, ok)
			ohms, err := tables.RunResistance(size, units.Foot(r.Figure("length_ft").Value), l.doc.ConductorTempC, false)
			require.NoError(t, err)
			line("R%d n%d n%d %.17g", l.node(r.From.At(c.From)), l.node(r.To.At(c.To)), float64(ohms)/r.Figure("sets").Value)
		}
	}
	for _, p := range l.doc.Parts() {
		if p.Kind != &components.Battery || p.Gone() {
			continue
		}
		chem, ok := tables.BatteryChemistry(p.Word("chemistry"))
		require.True(t, ok)
		blocks := p.Figure("nominal_v").Value / chem.NominalVoltage * p.Figure("series").Value
		ohms := chem.Resistance.Sag / 1000 * 100 / p.Figure("capacity_ah").Value * blocks / p.Figure("parallel").Value
		neg := l.node(p.Ref("neg").At(components.Neg))
		if ground == "" {
			ground = fmt.Sprintf("n%d", neg)
		}
		emf := chem.OpenCircuit(0.5) * blocks
		line("V%d e%d n%d DC %.17g", k, neg, emf)
		line("R%d e%d n%d %.17g", k-1, l.node(p.Ref("pos").At(components.Pos)), ohms)
	}
	line("I%d n%d n%d DC %.17g", l.node(components.PortRef{Part: inverter, Port: "dc"}.At(components.Pos)), l.node(components.PortRef{Part: inverter, Port: "dc"}.At(components.Neg)), amps)
	for i := range len(l.num) { // parts that hang on no battery here float
		line("R%d n%d 0 1e12", i+1)
	}
	b.WriteString(".op\n.end\n")
	return b.String()
}

// The drop from the bank to the inverter that the checklist expects agrees with
// ngspice on a deck that is written from the drawing and the tables alone, for
// every sample.
func TestDropAgreesWithNgspice(t *testing.T) {
	program := spice.Available(t)
	compared := 0
	for _, s := range projects.Samples() {
		doc := s.Document()
		items := Items(solved.Of(doc))
		for _, item := range items {
			if item.ID != "L02" || !item.Expect.HasFigure {
				continue
			}
			load, ok := Find(items, "L01/"+item.Place)
			require.True(t, ok)
			l := &loop{doc: doc, up: map[components.Terminal]components.Terminal{}, num: map[components.Terminal]int{}}
			inverter := components.ID(item.Place)
			answer := spice.Run(t, program, l.deck(t, inverter, load.Expect.Figure))
			bat := components.ID(strings.Fields(item.Points)[2])
			at := func(part components.ID, port string, p components.Pole) float64 {
				v, ok := answer.V[l.node(components.PortRef{Part: part, Port: port}.At(p))]
				require.True(t, ok, "%s.%s", part, port)
				return real(v)
			}
			drop := at(bat, "pos", components.Pos) - at(bat, "neg", components.Neg) - at(inverter, "dc", components.Pos) + at(inverter, "dc", components.Neg)
			assert.InEpsilon(t, drop, item.Expect.Figure, 1e-3, "%s %s", s.Name, item.Key())
			compared++
		}
	}
	assert.GreaterOrEqual(t, compared, 5)
	t.Logf("%d drops compared", compared)
}
