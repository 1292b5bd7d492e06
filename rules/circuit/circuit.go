// Package circuit turns a document in one operating state into a network:
// terminals, and the links that join them. Relays and transfer switches settle
// first, from what is alive. Nothing melts away that a rule may ask about: a
// link keeps the run and core, or the part and contact, that it came from.
package circuit

import (
	"fmt"
	"iter"
	"math"
	"slices"
	"sync"

	"rigline/components"
)

// Term is the index of a terminal.
type Term int

// Position is where a device that moves by itself has settled.
type Position string

// The positions: a transfer switch stands at a or b, an inverter passes its
// input, inverts, or rests, a relay of the DC side is closed or open.
const (
	AtA       Position = "a"
	AtB       Position = "b"
	Passing   Position = "passing"
	Inverting Position = "inverting"
	Resting   Position = "off"
	Closed    Position = "closed"
	Open      Position = "open"
)

// Link joins two terminals: a core of a run, or a contact inside a part. Only
// closed links carry current in this state.
type Link struct {
	A, B   Term
	Run    components.ID // "" for a contact
	Core   components.Core
	Part   components.ID    // "" for a run
	Join   *components.Join // the contact; of a run it is empty, never nil
	Closed bool
	Bond   bool // joins N or - to G

	device int32 // the overcurrent device that it is, from 1; 0 for none
}

// Address is what the link stands for: "W3" or "PNL".
func (l Link) Address() string {
	if l.Run != "" {
		return string(l.Run)
	}
	return string(l.Part)
}

// Source is one EMF that is alive in this state: one leg of a supply, an inverter
// leg, a battery.
type Source struct {
	Part      components.ID
	Hot       Term    // or +
	Return    Term    // N, or -; of a battery or array above others in series the lowest one's
	Volts     float64 // of a battery or array with those in series below it
	Degrees   float64
	Stores    bool    // a battery
	Sun       bool    // a solar array
	Shares    bool    // a converter that is made to push into one conductor with others
	LimitA    float64 // its own breaker or electronic limit; +Inf where it has none
	LimitText string
}

// Circuit is a document in one state, settled.
type Circuit struct {
	*Layout
	State     components.State
	Links     []Link
	Positions map[components.ID]Position
	Unsettled []components.ID // devices that chase each other; Positions holds their last
	Sources   []Source

	strings map[components.ID]float64       // of batteries that have lost some
	below   map[components.ID]components.ID // the battery or array that carries another in series
	nets    []int32                         // net by terminal, bonds left open
	live    []bool                          // by net
	fedBy   map[int32][]Source              // by net
	feeds   func() [][]Feed                 // worked out once; nil for a circuit that was changed
	read    components.FieldSet             // by which it has settled
	lasting *sync.Map                       // of Lasting; likewise
	set     *sync.Map                       // of WhileSet; likewise
}

// Build settles a document in one state. Whoever asks for several states lays
// the document out once and settles that.
func Build(doc *components.Document, state components.State) *Circuit { return Lay(doc).In(state) }

func isAdapter(shore string) bool {
	for _, a := range components.Adapters {
		if a == shore {
			return true
		}
	}
	return false
}

// crossesToGround tells whether a core joins neutral or negative to ground.
func crossesToGround(c components.Core) bool {
	g := func(p components.Pole) bool { return p == components.G }
	return g(c.From) != g(c.To)
}

// LinksOf are the links of a run's cores, with their numbers.
func (c *Circuit) LinksOf(run components.ID) iter.Seq2[int, *Link] { return c.span(c.byRun[run]) }

// LinksIn are the contacts inside a part, with their numbers.
func (c *Circuit) LinksIn(part components.ID) iter.Seq2[int, *Link] { return c.span(c.byPart[part]) }

func (c *Circuit) span(at [2]int) iter.Seq2[int, *Link] {
	return func(yield func(int, *Link) bool) {
		for i := at[0]; i < at[1]; i++ {
			if !yield(i, &c.Links[i]) {
				return
			}
		}
	}
}

// Other is the far end of a link.
func (l Link) Other(t Term) Term {
	if l.A == t {
		return l.B
	}
	return l.A
}

// settle lets relays and transfer switches decide from what is alive, again and
// again, until nothing changes. Where they chase each other the devices are
// named in Unsettled, and an inverter among them is left inverting: what it feeds
// then must not depend on where the chase was broken off.
func (c *Circuit) settle() {
	seen := map[string]bool{}
	for {
		c.close()
		c.energize()
		changed := c.decide()
		if len(changed) == 0 {
			return
		}
		key := fmt.Sprint(c.Positions) // maps print in key order
		if seen[key] {
			c.Unsettled = changed
			for _, id := range changed {
				if p, _ := c.Doc.Part(id); p.Kind == &components.InverterCharger {
					c.Positions[id] = c.inverterWants(p, false)
				}
			}
			c.close()
			c.energize()
			return
		}
		seen[key] = true
	}
}

// close sets every contact by the positions of now and finds the nets.
func (c *Circuit) close() {
	for i := range c.Links {
		switch l := &c.Links[i]; l.Join.When {
		case components.Fixed, components.Closable:
			l.Closed = true
		case components.OnA:
			l.Closed = c.Positions[l.Part] == AtA
		case components.OnB:
			l.Closed = c.Positions[l.Part] == AtB
		case components.Passing:
			l.Closed = c.Positions[l.Part] == Passing
		case components.Inverting:
			l.Closed = c.Positions[l.Part] == Inverting
		case components.PluggedIn:
			p, _ := c.Doc.Part(l.Part)
			service := c.Service(p)
			l.Closed = service != "" && (l.Join.Via != adapter || isAdapter(service))
		case components.PulledIn:
			l.Closed = c.Positions[l.Part] == Closed
		case components.OnePlug:
			in, ok := c.State.PluggedIn(c.Doc, c.plugs[l.Run])
			l.Closed = ok && in.Run == l.Run && c.State.Shore != ""
		case components.CordIn:
			l.Closed = c.State.Generator || c.State.Shore != ""
		case components.CordIfAlone:
			l.Closed = c.State.Generator && c.State.Shore == ""
		case components.CordIfRunning:
			l.Closed = c.State.Generator
		}
	}
	c.nets = c.union(func(l *Link) bool { return l.Closed && !l.Bond })
}

// union numbers the sets of terminals that the chosen links join, lowest
// terminal first.
func (c *Circuit) union(use func(*Link) bool) []int32 {
	up := make([]int32, len(c.Terms))
	for i := range up {
		up[i] = int32(i)
	}
	find := func(i int32) int32 {
		for up[i] != i {
			up[i] = up[up[i]]
			i = up[i]
		}
		return i
	}
	for i := range c.Links {
		if l := &c.Links[i]; use(l) {
			a, b := find(int32(l.A)), find(int32(l.B))
			if a != b {
				up[max(a, b)] = min(a, b)
			}
		}
	}
	for i := range up {
		up[i] = find(int32(i))
	}
	return up
}

// Net is the lowest terminal of the net that a terminal belongs to. Bonds do not
// join nets: neutral and ground stay two.
func (c *Circuit) Net(t Term) Term { return Term(c.nets[t]) }

// Live tells whether a source feeds the terminal's net.
func (c *Circuit) Live(t Term) bool { return c.live[c.nets[t]] }

func (c *Circuit) findLive() {
	c.live = make([]bool, len(c.Terms))
	c.fedBy = make(map[int32][]Source, len(c.Sources))
	for _, s := range c.Sources {
		net := c.nets[s.Hot]
		c.live[net] = true
		c.fedBy[net] = append(c.fedBy[net], s)
	}
	for net, feeds := range c.fedBy {
		c.fedBy[net] = slices.Clip(feeds)
	}
}

// decide moves every device to where it wants to be and names those that moved.
func (c *Circuit) decide() []components.ID {
	var moved []components.ID
	for _, p := range c.Doc.Parts() {
		if p.Gone() {
			continue
		}
		var want Position
		switch p.Kind {
		case &components.TransferSwitch:
			want = c.transferWants(p)
		case &components.InverterCharger:
			want = c.inverterWants(p, c.hotLive(p, "ac-in"))
		case &components.Inverter:
			want = c.inverterWants(p, false)
		case &components.DCSwitch:
			if !components.IsRelay(p.Told("closed_by")) {
				continue
			}
			want = c.relayWants(p)
		default:
			continue
		}
		if c.Positions[p.ID] != want {
			c.Positions[p.ID] = want
			moved = append(moved, p.ID)
		}
	}
	return moved
}

func (c *Circuit) transferWants(p components.Part) Position {
	if p.Is("manual") {
		if c.State.Bypass {
			return AtB
		}
		if c.State.Shore == "" && !c.hotLive(p, "a") && c.hotLive(p, "b") { // a hand turns it to the side that is alive
			return AtB
		}
		return AtA
	}
	first, second := AtA, AtB
	if p.Word("prefers") == "b" {
		first, second = AtB, AtA
	}
	switch {
	case c.hotLive(p, string(first)):
		return first
	case c.hotLive(p, string(second)):
		return second
	}
	return first
}

func (c *Circuit) inverterWants(p components.Part, input bool) Position {
	if input {
		return Passing
	}
	for _, id := range c.State.Off {
		if id == p.ID {
			return Resting
		}
	}
	if t, ok := c.At(p.ID, "dc", components.Pos); ok && c.Live(t) {
		return Inverting
	}
	return Resting
}

// hotLive tells whether any hot of a port is alive.
func (c *Circuit) hotLive(p components.Part, port string) bool {
	for _, pole := range []components.Pole{components.L1, components.L2, components.L} {
		if t, ok := c.At(p.ID, port, pole); ok && c.Live(t) {
			return true
		}
	}
	return false
}

// energize finds what is alive with the contacts as they stand. A step-down gives once its
// input is alive, and so may wake another.
func (c *Circuit) energize() {
	for c.live = nil; ; {
		waits := c.findSources()
		c.findLive()
		if !slices.ContainsFunc(waits, c.Live) {
			return
		}
	}
}

// findSources lists what is alive by itself in this state, and gives the inputs of the
// step-downs that were not.
func (c *Circuit) findSources() (waits []Term) {
	c.Sources = c.Sources[:0]
	for _, p := range c.Doc.Parts() {
		if p.Gone() {
			continue
		}
		switch p.Kind {
		case &components.Shore:
			c.addShore(p)
		case &components.Generator:
			if c.State.Generator {
				limit := limitOf(p.Figure("breaker_a"))
				text := fmt.Sprintf("%s's own breaker, %v A", p.ID, limit)
				if math.IsInf(limit, 1) {
					text = fmt.Sprintf("%s's own breaker", p.ID)
				}
				if !p.Is("output_breaker") {
					limit, text = math.Inf(1), fmt.Sprintf("%s (no breaker of its own)", p.ID)
				}
				c.addLegs(p, "out", p.Word("legs"), c.Doc.MainsVolts(), limit, text)
			}
		case &components.InverterCharger, &components.Inverter:
			if c.Positions[p.ID] == Inverting {
				v := c.Doc.InverterVolts(p)
				limit := limitOf(p.Figure("continuous_va")) / v
				if legs := p.Word("inverts"); legs == "both-split" || legs == "both-in-phase" {
					limit /= 2
				}
				text := ownLimit(p.ID, "%.1f", limit)
				if own := p.Figure("output_breaker_a"); own.Known() && own.Value < limit {
					limit, text = own.Value, fmt.Sprintf("the breaker at the output of %s, %v A", p.ID, own.Value)
				}
				c.addLegs(p, "ac-out", p.Word("inverts"), v, limit, text)
			}
		case &components.Battery:
			pos, okP := c.At(p.ID, "pos", components.Pos)
			neg, okN := c.At(p.ID, "neg", components.Neg)
			if okP && okN {
				c.Sources = append(c.Sources, Source{Part: p.ID, Hot: pos, Return: neg, Volts: ownVolts(p), Stores: true, LimitA: math.Inf(1), LimitText: "no device"})
			}
		case &components.Alternator:
			if c.State.Engine {
				c.addDC(p, "out", p.Figure("volts").Value, p.Figure("rating_a"))
			}
		case &components.SolarArray:
			if c.State.Sun > 0 {
				isc := p.Figure("isc_a")
				isc.Value *= p.Figure("parallel").Value
				if c.addDC(p, "out", ownVolts(p), isc) {
					c.Sources[len(c.Sources)-1].Sun = true
				}
			}
		case &components.DCConverter:
			switch t, ok := c.At(p.ID, "in", components.Pos); {
			case !ok:
			case c.live != nil && c.Live(t):
				c.addDC(p, "out", p.Figure("out_v").Value, p.Figure("output_a"))
			default:
				waits = append(waits, t)
			}
		}
	}
	c.stack()
	c.share()
	return waits
}

func (c *Circuit) addDC(p components.Part, port string, volts float64, limit components.Figure) bool {
	pos, okP := c.At(p.ID, port, components.Pos)
	neg, okN := c.At(p.ID, port, components.Neg)
	if okP && okN {
		c.Sources = append(c.Sources, Source{Part: p.ID, Hot: pos, Return: neg, Volts: volts, LimitA: limitOf(limit), LimitText: ownLimit(p.ID, "%.4g", limitOf(limit))})
	}
	return okP && okN
}

// ownLimit tells what a source gives at most by itself, where that is known.
func ownLimit(id components.ID, figure string, amps float64) string {
	if math.IsInf(amps, 1) {
		return fmt.Sprintf("%s's own limit, which is not told", id)
	}
	return fmt.Sprintf("%s's own limit, "+figure+" A", id, amps)
}

func limitOf(f components.Figure) float64 {
	if !f.Known() {
		return math.Inf(1)
	}
	return f.Value
}

func (c *Circuit) addShore(p components.Part) {
	service := c.Service(p)
	if service == "" {
		return
	}
	a := components.ServiceAmps(service)
	text := fmt.Sprintf("the site's %v A breaker", a)
	switch {
	case isAdapter(service):
		c.addLegs(p, "out", "one", 120, a, text)
	case service == "50a-120/208":
		c.addLegs(p, "out", "wye", 120, a, text)
	case components.ThreeWire(service):
		c.addLegs(p, "out", "opposite", 120, a, text)
	default:
		c.addLegs(p, "out", "one", components.ServiceVolts(service), a, text)
	}
}

// secondOfPair tells whether an inverter of one leg is set as one pair with the one
// before it, 180° apart.
func (c *Circuit) secondOfPair(p components.Part) bool {
	paired := func(q components.Part) bool {
		return !q.Gone() && q.Kind.Role == components.Converts && q.Is("in_step") && q.Word("inverts") == "L1" && c.Positions[q.ID] == Inverting
	}
	if !paired(p) {
		return false
	}
	before := 0
	for _, q := range c.Doc.Parts() {
		if q.ID == p.ID {
			break
		}
		if paired(q) {
			before++
		}
	}
	return before%2 == 1
}

// addLegs adds a source a leg. A single-winding source on a two-leg port drives
// its first leg.
func (c *Circuit) addLegs(p components.Part, port, legs string, volts, limit float64, text string) {
	n, okN := c.At(p.ID, port, components.N)
	if !okN {
		return
	}
	add := func(pole components.Pole, deg float64) bool {
		t, ok := c.At(p.ID, port, pole)
		if ok {
			c.Sources = append(c.Sources, Source{Part: p.ID, Hot: t, Return: n, Volts: volts, Degrees: deg, LimitA: limit, LimitText: text})
		}
		return ok
	}
	first := 0.0
	if c.secondOfPair(p) {
		first = 180
	}
	if add(components.L, first) {
		return
	}
	add(components.L1, first)
	switch legs {
	case "opposite", "both-split":
		add(components.L2, 180)
	case "same-phase", "both-in-phase":
		add(components.L2, 0)
	case "wye":
		add(components.L2, -120)
	}
}
