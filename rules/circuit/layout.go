package circuit

import (
	"maps"
	"slices"
	"sync"
	"sync/atomic"

	"rigline/components"
)

// Layout is what a document gives whatever the state: every terminal, and every
// link between them, closed or not.
type Layout struct {
	Doc   *components.Document
	Terms []components.Terminal

	Ports []Port // of every part that is there, in tag order

	links      []Link
	devices    []Device                            // that links are, counted from 1 there
	byRun      map[components.ID][2]int            // its links, from and up to
	byPart     map[components.ID][2]int            // the contacts inside, likewise
	plugs      map[components.ID][]components.Plug // those of which one is in, by each's run
	frame      Term                                // a stud of the chassis, -1 where there is none
	portsOf    map[components.ID][2]int            // its ports among Ports, likewise
	ends       [][]int32                           // links at a terminal
	impedances func() []Impedance
	rated      components.FieldSet // the fields that the devices' figures stand in
	settled    *sync.Map           // by the state's key
	earlier    *sync.Map           // of the layout before, where it is built alike; nil for none
	memo       *sync.Map
	before     *predecessor
	changed    components.FieldSet // since the layout before
	comparable bool                // to it: nothing but figures and places has changed
	rerated    bool                // devices are rated otherwise than there
}

// Port is a port with the terminals of its poles.
type Port struct {
	Ref   components.PortRef
	terms []Term // beside poles
	poles []components.Pole
}

// Term is the terminal of a pole.
func (p *Port) Term(pole components.Pole) (Term, bool) {
	for i, have := range p.poles {
		if have == pole {
			return p.terms[i], true
		}
	}
	return 0, false
}

// Lay lays a document out, in tag order.
func Lay(doc *components.Document) *Layout {
	l := &Layout{Doc: doc, portsOf: map[components.ID][2]int{}, byRun: map[components.ID][2]int{}, byPart: map[components.ID][2]int{}, memo: &sync.Map{}, settled: &sync.Map{}}
	frame := l.parts()
	l.frame = -1
	if len(frame) > 0 {
		l.frame = frame[0]
	}
	for i := 1; i < len(frame); i++ { // every chassis stud is the same frame
		l.links = append(l.links, Link{A: frame[0], B: frame[i], Part: l.Terms[frame[0]].Part, Join: &components.Join{When: components.Fixed, Via: "frame"}})
	}
	l.runs()
	l.gather()
	l.impedances = sync.OnceValue(l.impedance)
	return l
}

// LayNext lays out the document that follows another by an edit, so that what the
// edit leaves as it was is taken over, here and by a solver. before may be nil.
func LayNext(before *Layout, doc *components.Document) *Layout {
	if before == nil {
		return Lay(doc)
	}
	before.before.forget()
	was := before.Doc
	if !doc.SameBones(was) {
		return after(before.memo, Lay(doc))
	}
	changed, comparable := doc.FieldsChanged(was), doc.SameWords(was)
	devices, ok := before.rate(doc)
	if !ok {
		l := after(before.memo, Lay(doc))
		l.changed, l.comparable = changed, comparable
		return l
	}
	next := *before
	l := after(before.memo, &next)
	l.Doc, l.memo, l.changed, l.comparable = doc, &sync.Map{}, changed, comparable
	l.devices, l.rerated = devices, !slices.Equal(devices, before.devices)
	l.settled, l.earlier = &sync.Map{}, before.settled
	old := before.impedances
	l.impedances = sync.OnceValue(func() []Impedance { return l.impedancesNext(was, old()) })
	return l
}

// after makes a layout the one that follows what was kept in memo.
func after(memo *sync.Map, l *Layout) *Layout {
	l.before = &predecessor{memo: memo}
	return l
}

// predecessor is what was kept for the layout that another follows. It is forgotten
// when that is followed in its turn, so that edits do not pile up.
type predecessor struct {
	sync.Mutex
	memo *sync.Map
}

func (p *predecessor) forget() {
	if p != nil {
		p.Lock()
		p.memo = nil
		p.Unlock()
	}
}

func (p *predecessor) load(key any) (kept any, ok bool) {
	if p == nil {
		return nil, false
	}
	p.Lock()
	memo := p.memo
	p.Unlock()
	if memo == nil {
		return nil, false
	}
	return memo.Load(key)
}

// rate gives the overcurrent devices as a document of the same bones rates them; ok is
// false where a part of it has other ports, contacts or devices inside.
func (l *Layout) rate(doc *components.Document) (devices []Device, ok bool) {
	devices = l.devices
	before := l.Doc.Parts()
	for i, p := range doc.Parts() {
		was := before[i]
		if p.Gone() || p.Spec.Same(was.Spec) {
			continue
		}
		if !builtAlike(p, was) {
			return nil, false
		}
		for _, k := range l.links[l.byPart[p.ID][0]:l.byPart[p.ID][1]] {
			if k.Join.When != components.Closable {
				continue
			}
			d, isOne := DeviceOf(p, *k.Join)
			if !isOne && k.device == 0 {
				continue
			}
			if !isOne || k.device == 0 || d.unrated() != l.devices[k.device-1].unrated() {
				return nil, false
			}
			if d == l.devices[k.device-1] {
				continue
			}
			if &devices[0] == &l.devices[0] {
				devices = slices.Clone(devices)
			}
			devices[k.device-1] = d
		}
	}
	return devices, true
}

// builtAlike tells whether a part has the same ports and contacts as it had.
func builtAlike(p, was components.Part) bool {
	return slices.EqualFunc(p.Kind.Ports(p.Spec), was.Kind.Ports(was.Spec), func(a, b components.Port) bool {
		return a.Name == b.Name && slices.Equal(a.Poles, b.Poles)
	}) && slices.Equal(p.Kind.Joins(p.Spec), was.Kind.Joins(was.Spec)) && adapted(p) == adapted(was)
}

// In settles the document in a state.
func (l *Layout) In(state components.State) *Circuit {
	key := state.Key()
	kept, ok := l.settled.Load(key)
	if !ok {
		kept, _ = l.settled.LoadOrStore(key, &settled{})
	}
	s := kept.(*settled)
	s.once.Do(func() {
		if was, ok := l.settledBefore(key); ok {
			s.circuit.Store(l.takeOver(was))
			return
		}
		var reads components.Reads
		c := &Circuit{Layout: l.over(l.Doc.Watched(&reads)), State: state, Links: slices.Clone(l.links), Positions: map[components.ID]Position{}}
		c.settle()
		c.read, c.lasting, c.set = reads.Fields(), &sync.Map{}, &sync.Map{}
		c.Layout = l.bare()
		c.feeds = sync.OnceValue(c.feedsOf)
		s.circuit.Store(c)
	})
	c := *s.circuit.Load()
	c.Layout, c.State = l, state
	l.Doc.Reads().Add(c.read)
	return &c
}

// settled is how the circuit of a state has settled.
type settled struct {
	once    sync.Once
	circuit atomic.Pointer[Circuit]
}

// settledBefore is how the state had settled before the edit, where that still holds.
func (l *Layout) settledBefore(key string) (*Circuit, bool) {
	if l.earlier == nil {
		return nil, false
	}
	kept, ok := l.earlier.Load(key)
	if !ok {
		return nil, false
	}
	c := kept.(*settled).circuit.Load()
	return c, c != nil && !c.read.Meets(l.changed)
}

// takeOver makes a circuit of the layout before this one's, with what was kept of it as
// far as the edit leaves that as it was.
func (l *Layout) takeOver(was *Circuit) *Circuit {
	c := *was
	c.Layout, c.set = l.bare(), &sync.Map{}
	if l.comparable {
		c.set = standing(was.set, l.changed)
	}
	if l.rerated {
		c.feeds = sync.OnceValue(c.feedsOf)
	}
	return &c
}

// bare is the layout without what was found about its runs, for what outlives it.
func (l *Layout) bare() *Layout {
	wiring := *l
	wiring.memo, wiring.before, wiring.settled, wiring.earlier = nil, nil, nil, nil
	return &wiring
}

// SettledOn are the fields that the circuit has settled by.
func (c *Circuit) SettledOn() components.FieldSet { return c.read }

// SettledAs tells whether two circuits have settled in the same way: the same links,
// closed alike, the same sources, and the same devices, whatever these are rated.
func (c *Circuit) SettledAs(o *Circuit) bool {
	return c.lasting != nil && c.lasting == o.lasting || c.wiredAs(o)
}

func (c *Circuit) wiredAs(o *Circuit) bool {
	return slices.Equal(c.Terms, o.Terms) && slices.EqualFunc(c.devices, o.devices, func(a, b Device) bool { return a.unrated() == b.unrated() }) &&
		slices.Equal(c.Sources, o.Sources) && maps.Equal(c.Positions, o.Positions) && slices.Equal(c.Unsettled, o.Unsettled) && slices.EqualFunc(c.Links, o.Links, sameLink)
}

func sameLink(a, b Link) bool {
	join := *a.Join == *b.Join
	a.Join, b.Join = nil, nil
	return join && a == b
}

// Over is the circuit over the same document, watched.
func (c *Circuit) Over(watched *components.Document) *Circuit {
	d := *c
	d.Layout = c.Layout.over(watched)
	return &d
}

func (l *Layout) over(watched *components.Document) *Layout {
	laid := *l
	laid.Doc = watched
	return &laid
}

// parts lays out terminals and contacts and gives back the studs of the frame.
func (l *Layout) parts() (frame []Term) {
	for _, p := range l.Doc.Parts() {
		if p.Gone() {
			continue
		}
		before := len(l.Ports)
		for _, port := range l.Doc.PortsOf(p.ID) {
			at := Port{Ref: p.Ref(port.Name), poles: port.Poles, terms: make([]Term, 0, len(port.Poles))}
			for _, pole := range port.Poles {
				t := Term(len(l.Terms))
				l.Terms = append(l.Terms, at.Ref.At(pole))
				at.terms = append(at.terms, t)
				if p.Kind == &components.Chassis {
					frame = append(frame, t)
				}
			}
			l.Ports = append(l.Ports, at)
		}
		l.portsOf[p.ID] = [2]int{before, len(l.Ports)}
		first := len(l.links)
		for _, j := range p.Kind.Joins(p.Spec) {
			link := Link{A: l.end(p.Ref(j.APort).At(j.APole)), B: l.end(p.Ref(j.BPort).At(j.BPole)), Part: p.ID, Join: &j, Bond: j.Bond}
			if j.When == components.Closable {
				var reads components.Reads
				d, ok := DeviceOf(p.Watched(&reads), j)
				l.rated = l.rated.And(reads.Fields())
				if ok {
					l.devices = append(l.devices, d)
					link.device = int32(len(l.devices))
				}
			}
			l.links = append(l.links, link)
		}
		if adapted(p) {
			l.links = append(l.links, Link{A: l.end(p.Ref("out").At(components.L1)), B: l.end(p.Ref("out").At(components.L2)), Part: p.ID,
				Join: &components.Join{APort: "out", APole: components.L1, BPort: "out", BPole: components.L2, When: components.PluggedIn, Via: adapter}})
		}
		l.byPart[p.ID] = [2]int{first, len(l.links)}
	}
	return frame
}

// adapter is the way by which a bridging adapter joins the legs of a supply.
const adapter = "adapter"

// adapted tells whether a part is a site supply of two legs, which an adapter may join.
func adapted(p components.Part) bool {
	return p.Kind == &components.Shore && components.ThreeWire(p.Word("service"))
}

// noJoin is the contact of a link that is none.
var noJoin = &components.Join{}

// The cord of a carried set, by what its plug shares the inlet with.
var (
	cordJoin   = &components.Join{When: components.CordIn, Via: "cord of a carried set"}
	sharedCord = &components.Join{When: components.CordIfAlone, Via: "cord of a carried set, at the site's inlet"}
	loneCord   = &components.Join{When: components.CordIfRunning, Via: "cord of a carried set, in a rig with no site supply"}
)

// sitePlug is the cord of a site supply where others end at the same inlet.
var sitePlug = &components.Join{When: components.OnePlug, Via: "cord of a site supply"}

// joinOf is the contact that a run makes: a plug, where it ends the cord of a carried set
// at an inlet, or one of several site supplies' cords.
func (l *Layout) joinOf(r components.Run) *components.Join {
	inlet := r.To
	if q, _ := l.Doc.Part(inlet.Part); q.Kind != &components.Inlet {
		inlet = r.From
	}
	if q, _ := l.Doc.Part(inlet.Part); q.Kind != &components.Inlet || inlet.Port != "site" {
		return noJoin
	}
	if plugs := l.Doc.Plugs(inlet); slices.ContainsFunc(plugs, func(p components.Plug) bool { return p.Run == r.ID }) {
		if l.plugs == nil {
			l.plugs = map[components.ID][]components.Plug{}
		}
		l.plugs[r.ID] = plugs
		return sitePlug
	}
	if _, ok := l.Doc.CordTo(r, inlet, &components.Generator); !ok {
		return noJoin
	}
	for _, o := range l.Doc.RunsAt(inlet) {
		if _, site := l.Doc.CordTo(o, inlet, &components.Shore); site && !o.Gone() && o.ID != r.ID {
			return sharedCord
		}
	}
	if !l.besideShore(inlet.Part) {
		return loneCord
	}
	return cordJoin
}

// besideShore tells whether runs lead from a part to a site supply, over whatever parts.
func (l *Layout) besideShore(from components.ID) bool {
	met, queue := map[components.ID]bool{from: true}, []components.ID{from}
	for len(queue) > 0 {
		id := queue[0]
		queue = queue[1:]
		if q, _ := l.Doc.Part(id); q.Kind == &components.Shore {
			return true
		}
		for _, r := range l.Doc.RunsOf(id) {
			for _, end := range []components.ID{r.From.Part, r.To.Part} {
				if !r.Gone() && !met[end] {
					met[end] = true
					queue = append(queue, end)
				}
			}
		}
	}
	return false
}

// runs lays out the cores of every run that is there.
func (l *Layout) runs() {
	for _, r := range l.Doc.Runs() {
		if r.Gone() {
			continue
		}
		first, join := len(l.links), l.joinOf(r)
		for _, core := range l.Doc.CoresOf(r) {
			a, okA := l.Term(r.From.At(core.From))
			b, okB := l.Term(r.To.At(core.To))
			if okA && okB {
				l.links = append(l.links, Link{A: a, B: b, Run: r.ID, Core: core, Join: join, Closed: true, Bond: crossesToGround(core)})
			}
		}
		l.byRun[r.ID] = [2]int{first, len(l.links)}
	}
}

// gather lists the links at every terminal, in one piece of memory.
func (l *Layout) gather() {
	count := make([]int32, len(l.Terms)+1)
	for _, k := range l.links {
		count[k.A+1]++
		count[k.B+1]++
	}
	for t := range l.Terms {
		count[t+1] += count[t]
	}
	all := make([]int32, 2*len(l.links))
	l.ends = make([][]int32, len(l.Terms))
	for t := range l.Terms {
		l.ends[t] = all[count[t]:count[t]:count[t+1]]
	}
	for i, k := range l.links {
		l.ends[k.A] = append(l.ends[k.A], int32(i))
		l.ends[k.B] = append(l.ends[k.B], int32(i))
	}
}

// impedancesNext works out those of the runs whose figures are not as they were.
func (l *Layout) impedancesNext(was *components.Document, old []Impedance) []Impedance {
	all := slices.Clone(old)
	for i, r := range l.Doc.Runs() {
		if r.Spec.Same(was.Runs()[i].Spec) {
			continue
		}
		at := l.byRun[r.ID]
		for k := at[0]; k < at[1]; k++ {
			all[k] = impedanceOf(r, l.links[k].Core)
		}
	}
	return all
}

func (l *Layout) impedance() []Impedance {
	all := make([]Impedance, len(l.links))
	for i, k := range l.links {
		if k.Run != "" {
			r, _ := l.Doc.Run(k.Run)
			all[i] = impedanceOf(r, k.Core)
		}
	}
	return all
}

// Memo keeps what a solver found for one state and may use in another.
func (l *Layout) Memo() *sync.Map { return l.memo }

// Before is what was kept for the layout that this one follows.
func (l *Layout) Before(key any) (kept any, ok bool) { return l.before.load(key) }

// Changed are the fields in which the document differs from the one before. ok is false
// where there is none, or where they differ in more than in figures and in places.
func (l *Layout) Changed() (fields components.FieldSet, ok bool) { return l.changed, l.comparable }

// Unchanged tells whether nothing has changed since the layout before that an answer
// follows from which rests on these fields and on what is built.
func (l *Layout) Unchanged(rests components.FieldSet) bool {
	return l.earlier != nil && l.comparable && !l.changed.Meets(rests)
}

// Impedance is a link's; a contact has none.
func (l *Layout) Impedance(link int) Impedance {
	if reads := l.Doc.Reads(); reads != nil {
		reads.Add(components.FieldsOfRuns())
	}
	if all := l.impedances(); link < len(all) {
		return all[link]
	}
	return Impedance{}
}

// Term finds a terminal.
func (l *Layout) Term(t components.Terminal) (Term, bool) { return l.At(t.Part, t.Port, t.Pole) }

// At finds the terminal of a part's port and pole.
func (l *Layout) At(part components.ID, port string, pole components.Pole) (Term, bool) {
	at := l.portsOf[part]
	for i := at[0]; i < at[1]; i++ {
		if p := &l.Ports[i]; p.Ref.Port == port {
			if t, ok := p.Term(pole); ok {
				return t, true
			}
		}
	}
	return 0, false
}

// Frame is a stud of the chassis; ok is false where the rig has none.
func (l *Layout) Frame() (t Term, ok bool) { return l.frame, l.frame >= 0 }

// LinksAt are the links at a terminal.
func (l *Layout) LinksAt(t Term) []int32 { return l.ends[t] }

// end is the terminal that a contact of a part ends at: a pole of one of its ports,
// or a place inside that no run reaches. The part's ports are the last that were laid.
func (l *Layout) end(at components.Terminal) Term {
	if t, ok := l.Term(at); ok {
		return t
	}
	t := Term(len(l.Terms))
	l.Terms = append(l.Terms, at)
	l.Ports = append(l.Ports, Port{Ref: at.PortRef, poles: []components.Pole{at.Pole}, terms: []Term{t}})
	l.portsOf[at.Part] = [2]int{l.portsOf[at.Part][0], len(l.Ports)}
	return t
}
