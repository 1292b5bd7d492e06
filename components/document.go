package components

import (
	"fmt"
	"slices"
	"sort"
	"sync"
)

// Rig is what the title block says.
type Rig struct {
	About, DrawnBy, CheckedBy, Revision, Date string
}

// Revision is one issue of the drawing: what its letter stands for.
type Revision struct {
	Letter, Date, What, By string
}

// Note is a mark-up on the sheet.
type Note struct {
	Form string // note, cloud or arrow
	At   Point
	To   Point
	Text string
}

// Acceptance is a finding that a person takes as it is, with the reason.
type Acceptance struct {
	Rule   string
	On     []string
	Reason string
	By     string
	Level  string // how bad it was when it was accepted: one that is worse by now stands open; "" for any
}

// Document is one rig at one moment. It is never changed: Apply gives the next
// one and leaves this one whole, so a check behind the screen holds it without a
// lock and undo is a step back along a slice.
type Document struct {
	Title          string
	Rig            Rig
	Basis          string // us-rv or iec-caravan
	Units          string // us or metric, for presentation
	AmbientC       float64
	ConductorTempC float64
	Ampacity       string // the tables of conductors: ByConstruction or Enclosed
	States         []State
	Revisions      []Revision // the issues of the drawing, the oldest first
	Notes          []Note
	Accepted       []Acceptance
	Readings       []Reading          // what was measured, in the order of the checklist
	Comments       map[string]Comment // by address: "title", "BAT1", "W1"

	parts []Part // in the order of CompareIDs
	runs  []Run

	reads *Reads // nil where nobody watches
	whole bool   // no edit is under way
	once  sync.Once
	known *index
}

// Comment is what a hand wrote above and beside an entry of the file.
type Comment struct{ Above, Beside string }

// The tables by which a project takes what conductors carry. AC conductors are held
// to enclosed tables in any case, with terminals at 60 °C where they are not marked,
// so that the choice is about DC cable alone.
const (
	ByConstruction = "by-construction" // each construction's own: DC cable lies in free air
	Enclosed       = "enclosed"        // DC cable too as in a raceway, where that is less
)

// NewDocument is an empty rig with the format's defaults.
func NewDocument(title string) *Document {
	return &Document{Title: title, Basis: "us-rv", Units: "us", AmbientC: 30, ConductorTempC: 75, Ampacity: ByConstruction, whole: true}
}

// Parts are the parts in tag order. Do not change the slice.
func (d *Document) Parts() []Part { return d.parts }

// Runs are the runs in tag order. Do not change the slice.
func (d *Document) Runs() []Run { return d.runs }

// Part finds a part.
func (d *Document) Part(id ID) (Part, bool) {
	i, ok := d.partAt(id)
	if !ok {
		return Part{}, false
	}
	return d.parts[i], true
}

func (d *Document) partAt(id ID) (i int, ok bool) {
	if x := d.index(); x != nil {
		i, ok = x.parts[id]
		return i, ok
	}
	return findPart(d.parts, id)
}

// Run finds a run.
func (d *Document) Run(id ID) (Run, bool) {
	i, ok := d.runAt(id)
	if !ok {
		return Run{}, false
	}
	return d.runs[i], true
}

func (d *Document) runAt(id ID) (i int, ok bool) {
	if x := d.index(); x != nil {
		i, ok = x.runs[id]
		return i, ok
	}
	return findRun(d.runs, id)
}

func findPart(parts []Part, id ID) (int, bool) {
	return sort.Find(len(parts), func(i int) int { return CompareIDs(id, parts[i].ID) })
}

func findRun(runs []Run, id ID) (int, bool) {
	return sort.Find(len(runs), func(i int) int { return CompareIDs(id, runs[i].ID) })
}

// RunsAt are the runs that end at a port, in tag order.
func (d *Document) RunsAt(at PortRef) []Run {
	if x := d.index(); x != nil {
		return d.pick(x.at[at])
	}
	return d.runsWhere(func(r Run) bool { return r.From == at || r.To == at })
}

// RunsOf are the runs that end at any port of a part, in tag order.
func (d *Document) RunsOf(id ID) []Run {
	if x := d.index(); x != nil {
		return d.pick(x.of[id])
	}
	return d.runsWhere(func(r Run) bool { return r.From.Part == id || r.To.Part == id })
}

func (d *Document) pick(at []int) []Run {
	if len(at) == 0 {
		return nil
	}
	runs := make([]Run, len(at))
	for k, i := range at {
		runs[k] = d.runs[i]
	}
	return runs
}

func (d *Document) runsWhere(ends func(Run) bool) []Run {
	var runs []Run
	for _, r := range d.runs {
		if ends(r) {
			runs = append(runs, r)
		}
	}
	return runs
}

// PortsOf are a part's ports, turned with it, relative to its centre. Do not change
// the slice.
func (d *Document) PortsOf(id ID) []Port {
	i, ok := d.partAt(id)
	if !ok {
		return nil
	}
	if x := d.index(); x != nil {
		return x.ports[i]
	}
	return d.parts[i].Ports()
}

// Port finds a port of the document.
func (d *Document) Port(at PortRef) (Part, Port, bool) {
	if x := d.index(); x != nil {
		i, port, ok := x.port(at)
		if i < 0 {
			return Part{}, Port{}, false
		}
		return d.parts[i], port, ok
	}
	p, ok := d.Part(at.Part)
	if !ok {
		return Part{}, Port{}, false
	}
	port, ok := p.Port(at.Port)
	return p, port, ok
}

// OnlyReturns tells whether a run has neither a hot nor a positive core.
func (d *Document) OnlyReturns(r Run) bool {
	for _, c := range d.CoresOf(r) {
		if c.From.Hot() || c.From == Pos {
			return false
		}
	}
	return true
}

// CoresOf are a run's cores: those told, or every pole that both ports have. The
// run may be one that is not on the sheet yet. Do not change the slice.
func (d *Document) CoresOf(r Run) []Core {
	x := d.index()
	if x != nil {
		if i, ok := x.runs[r.ID]; ok && r.Cores == nil && d.runs[i].Cores == nil && d.runs[i].From == r.From && d.runs[i].To == r.To {
			return x.cores[i]
		}
	}
	return d.coresOf(r, x)
}

// AmbientOf is the air around a run: its own, or the project's.
func (d *Document) AmbientOf(r Run) float64 {
	if f := r.Figure("ambient_c"); f.Known() {
		return f.Value
	}
	return d.AmbientC
}

// FreeID is the first tag with a prefix that no part and no run has.
func (d *Document) FreeID(prefix string) ID {
	x := d.index()
	if x == nil {
		return d.freeID(prefix)
	}
	x.mu.Lock()
	defer x.mu.Unlock()
	if id, ok := x.free[prefix]; ok {
		return id
	}
	if x.free == nil {
		x.free = map[string]ID{}
	}
	x.free[prefix] = d.freeID(prefix)
	return x.free[prefix]
}

func (d *Document) freeID(prefix string) ID {
	for n := 1; ; n++ {
		id := ID(fmt.Sprintf("%s%d", prefix, n))
		if _, ok := d.Part(id); ok {
			continue
		}
		if _, ok := d.Run(id); !ok {
			return id
		}
	}
}

// clone makes a copy whose slices may be changed.
func (d *Document) clone() *Document {
	return &Document{Title: d.Title, Rig: d.Rig, Basis: d.Basis, Units: d.Units, AmbientC: d.AmbientC, ConductorTempC: d.ConductorTempC, Ampacity: d.Ampacity,
		States: d.States, Revisions: d.Revisions, Notes: d.Notes, Accepted: d.Accepted, Readings: d.Readings, Comments: d.Comments,
		parts: slices.Clone(d.parts), runs: slices.Clone(d.runs)}
}
