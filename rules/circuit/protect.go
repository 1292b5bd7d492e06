package circuit

import (
	"fmt"
	"iter"
	"math"
	"strconv"
	"strings"

	"rigline/components"
)

// Device is an overcurrent device: a part of its own, or a breaker or fuse inside
// a panel or a source.
type Device struct {
	Part    components.ID
	Place   string // "main" or "c3" inside a panel, "" for the part itself
	RatingA components.Figure
	GFCI    bool              // trips on a fault to ground small enough for people: 30 mA or less
	TripMA  components.Figure // of a residual-current device; missing: none, or not told
	Neutral bool              // opens the neutral with the hots
}

// unrated is the device with no word of its figures.
func (d Device) unrated() Device {
	d.RatingA, d.TripMA = components.Figure{}, components.Figure{}
	return d
}

// Address is "F1", or "PNL.c3" for a breaker in a panel.
func (d Device) Address() string {
	if d.Place == "" {
		return string(d.Part)
	}
	return string(d.Part) + "." + d.Place
}

// Place is where an overcurrent device is, as an address is without its words.
type Place struct {
	Part   components.ID
	Inside string
}

// At is where the device is.
func (d Device) At() Place { return Place{d.Part, d.Place} }

// String names the device for a person: "F1", "PNL circuit 3".
func (d Device) String() string {
	switch {
	case d.Place == "":
		return string(d.Part)
	case d.Place == "main":
		return string(d.Part) + "'s main breaker"
	}
	return fmt.Sprintf("%s circuit %s", d.Part, strings.TrimPrefix(d.Place, "c"))
}

// Device gives the overcurrent device that a link passes through.
func (l *Layout) Device(k Link) (Device, bool) {
	if k.device == 0 {
		return Device{}, false
	}
	l.Doc.Reads().Add(l.rated)
	return l.devices[k.device-1], true
}

// Devices are the overcurrent devices by the links that pass through them, as these
// stand in the circuit.
func (c *Circuit) Devices() iter.Seq2[int, Device] {
	return func(yield func(int, Device) bool) {
		c.Doc.Reads().Add(c.rated)
		for i := range c.Links {
			if n := c.Links[i].device; n > 0 && !yield(i, c.devices[n-1]) {
				return
			}
		}
	}
}

// Unrated are the same with no word of their figures: which devices there are is part of
// how a circuit has settled, as their ratings are not.
func (c *Circuit) Unrated() iter.Seq2[int, Device] {
	return func(yield func(int, Device) bool) {
		for i := range c.Links {
			if n := c.Links[i].device; n > 0 && !yield(i, c.devices[n-1].unrated()) {
				return
			}
		}
	}
}

// Protects tells whether a link passes through an overcurrent device.
func (l Link) Protects() bool { return l.device > 0 }

// GroundFault tells whether a link passes through a device that trips on a fault to
// ground small enough for people. It is part of how a circuit has settled, as ratings
// are not.
func (l *Layout) GroundFault(k Link) bool { return k.device > 0 && l.devices[k.device-1].GFCI }

// DeviceOf gives the overcurrent device that a join of a part is.
func DeviceOf(p components.Part, j components.Join) (Device, bool) {
	if p.Kind.Role == components.Protects {
		return withTrip(Device{Part: p.ID, RatingA: p.Figure("rating_a"), GFCI: p.Is("gfci"), Neutral: p.Is("opens_neutral")}, p.Figure("trip_ma")), true
	}
	switch p.Kind {
	case &components.Panel:
		if j.BPort == "bar" {
			if _, from := p.Value("main_a"); from == components.Missing && !p.Told("main_a").IsUnknown() {
				return Device{}, false // main lugs
			}
			return withTrip(Device{Part: p.ID, Place: "main", RatingA: p.Figure("main_a"), Neutral: p.Is("main_opens_neutral")}, p.Figure("main_trip_ma")), true
		}
		return rowDevice(p, j.BPort, "breaker_a")
	case &components.DCPanel:
		return rowDevice(p, j.BPort, "fuse_a")
	}
	return Device{}, false
}

func rowDevice(p components.Part, port, key string) (Device, bool) {
	n, err := strconv.Atoi(strings.TrimPrefix(port, "c"))
	rows := p.Rows("circuits")
	if err != nil || n < 1 || n > len(rows) {
		return Device{}, false
	}
	row := rows[n-1]
	f := components.Figure{Value: row[key].Num()}
	if row[key].Known() {
		f.From = components.Given
	}
	trip := components.Figure{Value: row["trip_ma"].Num()}
	if row["trip_ma"].Known() {
		trip.From = components.Given
	}
	return withTrip(Device{Part: p.ID, Place: port, RatingA: f, GFCI: row["gfci"].Truth(), Neutral: row["opens_neutral"].Truth()}, trip), true
}

// personalMA is the largest residual current that still protects people (IEC
// 60364-4-41 415.1, 30 mA).
const personalMA = 30

func withTrip(d Device, trip components.Figure) Device {
	d.TripMA = trip
	d.GFCI = d.GFCI || trip.Known() && trip.Value <= personalMA
	return d
}

// Feed is what stands ahead of a link, seen from one source: the last device on
// the way, and its rating (the source's own limit where there is none).
type Feed struct {
	Source  *Source
	Device  *Device // empty where nothing but the source's own limit protects
	LimitA  float64
	Unknown bool    // the device's rating is not known
	Last    *Device // the device passed last, whether or not it is the tightest
	Enters  Term    // the end of the link at which the current arrives
}

// HasDevice tells whether an overcurrent device stands ahead.
func (f Feed) HasDevice() bool { return f.Device != nil && f.Device.Part != "" }

// Branch is the feed as a branch circuit is rated: by the device passed last,
// however small what stands ahead of it is (NEC 210.3).
func (f Feed) Branch() Feed {
	if f.Last != nil && f.Last.Part != "" {
		f.Device, f.LimitA, f.Unknown = f.Last, f.Last.RatingA.Value, !f.Last.RatingA.Known()
	}
	return f
}

// String names what protects, with its rating.
func (f Feed) String() string {
	if !f.HasDevice() {
		return f.Source.LimitText
	}
	if math.IsInf(f.LimitA, 1) {
		return fmt.Sprintf("%s, its rating not told", f.Device)
	}
	return fmt.Sprintf("%s, %v A", f.Device, f.LimitA)
}

// noDevice stands for none.
var noDevice = &Device{}

// past is the feed behind a further device.
func (f Feed) past(d *Device) Feed {
	f.Last = d
	switch {
	case !d.RatingA.Known():
		if math.IsInf(f.LimitA, 1) {
			f.Device, f.Unknown = d, true
		}
	case d.RatingA.Value <= f.LimitA:
		f.Device, f.LimitA, f.Unknown = d, d.RatingA.Value, false
	}
	return f
}

// FeedsOf tells, for every link and every source that can push current into it
// through hot or positive conductors, the loosest protection ahead of it. A link
// between two sources is fed from both sides.
//
// The answer is by link; the source's own terminal starts with the source's own
// limit.
func (c *Circuit) FeedsOf() [][]Feed {
	c.Doc.Reads().Add(c.rated)
	if c.feeds != nil {
		return c.feeds()
	}
	return c.feedsOf()
}

func (c *Circuit) feedsOf() [][]Feed {
	type into struct {
		link int32
		feed Feed
	}
	all := make([]into, 0, len(c.Links))
	slot, count := make([]int32, len(c.Links)), make([]int32, len(c.Links)) // of a link: its last place in all, from 1; its places
	loosest, reached := make([]Feed, len(c.Terms)), make([]int32, len(c.Terms))
	var queue []Term
	for n := range c.Sources {
		s, round, first := &c.Sources[n], int32(n+1), int32(len(all))
		loosest[s.Hot], reached[s.Hot] = Feed{Source: s, Device: noDevice, LimitA: s.LimitA, Last: noDevice}, round
		queue = append(queue[:0], s.Hot)
		for k := 0; k < len(queue); k++ {
			t := queue[k]
			at := loosest[t]
			for _, i := range c.ends[t] {
				l := &c.Links[i]
				if !l.Closed || l.Bond {
					continue
				}
				if slot[i] <= first {
					all = append(all, into{i, Feed{LimitA: math.Inf(-1)}})
					slot[i] = int32(len(all))
					count[i]++
				}
				if ahead := &all[slot[i]-1].feed; at.LimitA > ahead.LimitA {
					*ahead = at
					ahead.Enters = t
				}
				next := at
				if l.device > 0 {
					next = at.past(&c.devices[l.device-1])
				}
				if o := l.Other(t); reached[o] != round || next.LimitA > loosest[o].LimitA {
					loosest[o], reached[o] = next, round
					queue = append(queue, o)
				}
			}
		}
	}
	feeds, room := make([][]Feed, len(c.Links)), make([]Feed, len(all))
	for i, n := range count {
		feeds[i], room = room[:0:n], room[n:]
	}
	for _, in := range all {
		feeds[in.link] = append(feeds[in.link], in.feed)
	}
	return feeds
}
