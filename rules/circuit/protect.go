package circuit

import (
	"fmt"
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

// Address is "F1", or "PNL.c3" for a breaker in a panel.
func (d Device) Address() string {
	if d.Place == "" {
		return string(d.Part)
	}
	return string(d.Part) + "." + d.Place
}

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
func (c *Circuit) Device(l Link) (Device, bool) {
	if l.Part == "" || l.Join.When != components.Closable {
		return Device{}, false
	}
	p, ok := c.Doc.Part(l.Part)
	if !ok {
		return Device{}, false
	}
	return DeviceOf(p, l.Join)
}

// DeviceOf gives the overcurrent device that a join of a part is.
func DeviceOf(p components.Part, j components.Join) (Device, bool) {
	if p.Kind.Role == components.Protects {
		return withTrip(Device{Part: p.ID, RatingA: p.Figure("rating_a"), GFCI: p.Is("gfci"), Neutral: p.Is("opens_neutral")}, p.Figure("trip_ma")), true
	}
	switch p.Kind {
	case &components.Panel:
		if j.BPort == "bar" {
			if _, from := p.Value("main_a"); from == components.Missing && !p.Spec["main_a"].IsUnknown() {
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
	rows := p.Spec["circuits"].Rows()
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
	Source  Source
	Device  Device // zero where nothing but the source's own limit protects
	LimitA  float64
	Unknown bool   // the device's rating is not known
	Last    Device // the device passed last, whether or not it is the tightest
	Enters  Term   // the end of the link at which the current arrives
}

// HasDevice tells whether an overcurrent device stands ahead.
func (f Feed) HasDevice() bool { return f.Device.Part != "" }

// Branch is the feed as a branch circuit is rated: by the device passed last,
// however small what stands ahead of it is (NEC 210.3).
func (f Feed) Branch() Feed {
	if f.Last.Part != "" {
		f.Device, f.LimitA, f.Unknown = f.Last, f.Last.RatingA.Value, !f.Last.RatingA.Known()
	}
	return f
}

// String names what protects, with its rating.
func (f Feed) String() string {
	if !f.HasDevice() {
		return f.Source.LimitText
	}
	return fmt.Sprintf("%s, %v A", f.Device, f.LimitA)
}

// FeedsOf tells, for every link and every source that can push current into it
// through hot or positive conductors, the loosest protection ahead of it. A link
// between two sources is fed from both sides.
//
// The answer is by link index; the source's own terminal starts with the
// source's own limit.
func (c *Circuit) FeedsOf() map[int][]Feed {
	feeds := map[int][]Feed{}
	for _, s := range c.Sources {
		loosest := map[Term]Feed{s.Hot: {Source: s, LimitA: s.LimitA}}
		queue := []Term{s.Hot}
		ahead := map[int]Feed{}
		for len(queue) > 0 {
			t := queue[0]
			queue = queue[1:]
			at := loosest[t]
			for _, i := range c.ends[t] {
				l := c.Links[i]
				if !l.Closed || l.Bond {
					continue
				}
				if old, ok := ahead[int(i)]; !ok || at.LimitA > old.LimitA {
					at.Enters = t
					ahead[int(i)] = at
				}
				next := at
				if d, ok := c.Device(l); ok {
					next.Last = d
					switch {
					case !d.RatingA.Known():
						if math.IsInf(at.LimitA, 1) {
							next.Device, next.Unknown = d, true
						}
					case d.RatingA.Value <= at.LimitA:
						next.Device, next.LimitA, next.Unknown = d, d.RatingA.Value, false
					}
				}
				o := l.Other(t)
				if old, ok := loosest[o]; !ok || next.LimitA > old.LimitA {
					loosest[o] = next
					queue = append(queue, o)
				}
			}
		}
		for i, f := range ahead {
			feeds[i] = append(feeds[i], f)
		}
	}
	return feeds
}
