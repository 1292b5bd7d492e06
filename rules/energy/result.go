package energy

import (
	"fmt"
	"math"
	"slices"
)

// Result is what a case comes to.
type Result struct {
	Case
	LoadWh    float64 // a day off grid, at the bank
	GivenWh   float64 // a day, by all sources that are told to run
	Autonomy  float64 // days from full without any charge
	Course    Course
	Recharge  []Recharge
	Generator Hours // what a generator has to add
	Other     *Other
	Limits    []string
}

// Recharge is how long a source takes to fill the bank from its usable depth.
type Recharge struct {
	Source string  `json:"source"`
	Amps   float64 `json:"amps"`
	Hours  float64 `json:"hours"` // full-sun hours for the sun; 0 for never
	Holds  string  `json:"held_by"`
}

// Other is an hour of the day from which the sources that are run by hand would bring
// another answer to whether the days can follow each other.
type Other struct {
	From  float64 `json:"from_h"`
	Holds bool    `json:"holds"`
}

// Hours is an answer in hours a day.
type Hours struct {
	Needed bool    // false where the bank holds without
	Value  float64 // +Inf where a whole day does not do
	Source string
}

// Work works a case out.
func (c Case) Work() Result {
	r := Result{Case: c, Course: c.Repeat()}
	for _, l := range c.Loads {
		r.LoadWh += l.Wh()
	}
	for _, g := range r.Course.Day.Total.Given {
		r.GivenWh += g
	}
	r.Autonomy = c.Bank.Hours(r.LoadWh/24) / 24
	for _, s := range c.Sources {
		w := s.Watts
		if s.Cap > 0 {
			w = math.Min(w, s.Cap)
		}
		amps, holds := w/c.Bank.Volts, s.Holds
		if s.Kind == Sun && w == s.Watts {
			holds = "the array"
		}
		if amps > c.Bank.ChargeA {
			amps, holds = c.Bank.ChargeA, fmt.Sprintf("charge limit of the bank, %s A", num(c.Bank.ChargeA))
		}
		r.Recharge = append(r.Recharge, Recharge{s.Name, amps, c.Bank.RechargeHours(c.Bank.AmpHours*c.Bank.Depth, amps), holds})
	}
	r.Generator = c.generator(r.Course)
	r.Other = c.otherwise(r.Course)
	r.limits()
	return r
}

// generator finds, to a tenth of an hour, how long a day a generator has to run
// for the bank to hold.
func (c Case) generator(now Course) Hours {
	j := slices.IndexFunc(c.Sources, func(s Source) bool { return s.Kind == Generator })
	if j < 0 {
		return Hours{}
	}
	h := Hours{Source: c.Sources[j].Name}
	with := c
	with.Sources = slices.Clone(c.Sources)
	holds := func(tenths int) bool {
		for k := range with.Sources {
			if with.Sources[k].Kind == Generator {
				with.Sources[k].Hours = float64(tenths) / 10
			}
		}
		return with.Repeat().Holds
	}
	switch {
	case holds(0):
		return h
	case !holds(240):
		h.Needed, h.Value = true, math.Inf(1)
		return h
	}
	lo, hi := 0, 240
	for hi-lo > 1 {
		if mid := (lo + hi) / 2; holds(mid) {
			hi = mid
		} else {
			lo = mid
		}
	}
	h.Needed, h.Value = true, float64(hi)/10
	return h
}

// otherwise looks for an hour that answers otherwise, of those at which a generator is
// started or a drive begins; nil where none does, or nothing begins at the hour that
// stands for all that is not told.
func (c Case) otherwise(now Course) *Other {
	with := c
	with.Sources = slices.Clone(c.Sources)
	moved := false
	for _, from := range []float64{18, 12, 6, 0} {
		for k := range c.Sources {
			if s := c.Sources[k]; s.From == Starts && s.Hours > 0 && s.Hours < 24 && s.Kind != Sun {
				with.Sources[k].From, moved = from, true
			}
		}
		if !moved {
			return nil
		}
		if holds := with.Repeat().Holds; holds != now.Holds {
			return &Other{from, holds}
		}
	}
	return nil
}

// limits says what holds the day back.
func (r *Result) limits() {
	add := func(format string, args ...any) { r.Limits = append(r.Limits, fmt.Sprintf(format, args...)) }
	d := r.Course.Day
	offered := r.GivenWh
	for j, s := range r.Sources {
		offered += d.Total.Spilled[j]
		if clip := d.Total.Clipped[j]; clip > 0.005*(clip+d.Total.Given[j]) {
			add("%s could give %s Wh a day more than the %s", s.Name, num(clip), s.Holds)
		}
	}
	if d.Limits["discharge limit"] {
		add("discharge limit of the bank, %s A", num(r.Bank.DischargeA))
	}
	if r.Course.Holds {
		return
	}
	if offered >= r.LoadWh {
		if b := r.Bank; b.UsableWh() < r.LoadWh {
			add("capacity of the bank: %s Wh usable do not carry the loads between charges", num(b.UsableWh()))
		} else {
			add("charge limit of the bank, %s A: the sources offer %s Wh a day and the loads use %s Wh", num(r.Bank.ChargeA), num(offered), num(r.LoadWh))
		}
		return
	}
	add("the sources: they offer %s Wh a day and the loads use %s Wh", num(offered), num(r.LoadWh))
	for _, s := range r.Sources {
		if s.Hours > 0 && s.Kind != Sun {
			add("%s: %s", s.Name, s.Holds)
		}
	}
}
