package energy

import "math"

// perHour is how many steps an hour is cut into.
const perHour = 60

const steps = 24 * perHour

// Load is what a part takes from its bank while it is used.
type Load struct {
	Name   string
	Watts  float64 // at the bank, inverters' and converters' losses included
	Loss   float64 // the part of Watts that those lose
	Hours  float64 // a day
	From   float64 // it is used between these hours, 0 and 24 for the whole day
	To     float64
	Untold bool // its hours are not told: it counts nothing in a day
	AC     bool // fed by site supply or generator while that is there
}

// Wh is the load's use of a day, at the bank.
func (l Load) Wh() float64 { return l.Watts * l.Hours }

// Kind is a sort of source.
type Kind string

// The sources, in the order in which they are used: what costs nothing first.
const (
	Sun       Kind = "sun"
	Engine    Kind = "engine"
	OtherBank Kind = "other bank"
	Shore     Kind = "shore"
	Generator Kind = "generator"
)

// Source is what charges a bank.
type Source struct {
	Name   string
	Kind   Kind
	Watts  float64 // at the bank's nominal voltage; an array's at full sun
	Cap    float64 // the most that its controller gives, W; 0 for no limit
	Hours  float64 // a day; full-sun hours for the sun
	From   float64 // when it starts
	Holds  string  // what limits its power: "charge current of INV1"
	Always bool    // gives at any hour
}

// Case is one bank with its loads and sources.
type Case struct {
	Bank    Bank
	Loads   []Load
	Sources []Source
}

// Flow is watt-hours over a span of time, at the bank's nominal voltage. Sources
// give what the loads and the bank take: Σ Given = Load − Unmet + Stored +
// ChargeLoss + RateLoss.
type Flow struct {
	Load       float64   `json:"load_wh"`        // wanted from the bank's side
	Given      []float64 `json:"given_wh"`       // by source, and used
	Spilled    []float64 `json:"spilled_wh"`     // by source: offered and not taken
	Clipped    []float64 `json:"clipped_wh"`     // by source: above its controller
	Unmet      float64   `json:"unmet_wh"`       // wanted and not there
	ChargeLoss float64   `json:"charge_loss_wh"` // the bank's coulombic loss
	RateLoss   float64   `json:"rate_loss_wh"`   // Peukert's
	Stored     float64   `json:"stored_wh"`      // change of the bank's charge
}

// Residual is what the balance lacks, in Wh: nothing but rounding.
func (f Flow) Residual() float64 {
	in := 0.0
	for _, g := range f.Given {
		in += g
	}
	return in - (f.Load - f.Unmet + f.Stored + f.ChargeLoss + f.RateLoss)
}

// Hour is one hour of a day.
type Hour struct {
	SoC float64 `json:"soc"` // at its end, 0 to 1
	Flow
}

// Day is a day by the hour.
type Day struct {
	Start, End, Low float64 // state of charge
	LowAt           float64 // hour of the lowest
	EmptyAt         float64 // hour at which the usable charge ended first, NaN if not
	Hours           [24]Hour
	Total           Flow
	Limits          map[string]bool // what held something back
}

// course holds a day's powers step by step, as far as they do not depend on the
// bank.
type course struct {
	load  []float64
	offer [][]float64 // by source
	clip  [][]float64
}

// overlap is how much of the hours from a to b lies in a window that may run over
// midnight.
func overlap(a, b, from, to float64) float64 {
	if to <= from {
		to += 24
	}
	total := 0.0
	for _, shift := range []float64{0, 24} {
		total += math.Max(0, math.Min(b+shift, to)-math.Max(a+shift, from))
	}
	return total
}

// window is the length of a load's window, in h.
func (l Load) window() float64 {
	w := l.To - l.From
	if w <= 0 {
		w += 24
	}
	return w
}

// rise and dayLength shape the sun as half a sine wave round noon: twelve hours,
// or more where the full-sun hours do not fit under it.
func dayLength(fullSun float64) float64 { return math.Min(24, math.Max(12, fullSun*math.Pi/2)) }

// sunHours is the share of the day's full-sun hours that falls between two hours
// of the day.
func sunHours(a, b, fullSun float64) float64 {
	length := dayLength(fullSun)
	rise := 12 - length/2
	at := func(t float64) float64 {
		x := math.Min(1, math.Max(0, (t-rise)/length))
		return (1 - math.Cos(math.Pi*x)) / 2
	}
	return fullSun * (at(b) - at(a))
}

// lay cuts the day into steps. While an AC source is there the loads that it
// feeds do not draw on the bank.
func (c Case) lay() course {
	const dt = 1.0 / perHour
	k := course{load: make([]float64, steps)}
	outside := make([]float64, steps) // share of the step with AC from outside
	for _, s := range c.Sources {
		offer, clip := make([]float64, steps), make([]float64, steps)
		for i := range steps {
			a, b := float64(i)*dt, float64(i+1)*dt
			w := 0.0
			switch {
			case s.Always:
				w = s.Watts
			case s.Kind == Sun:
				w = s.Watts * sunHours(a, b, s.Hours) / dt
			case s.Hours > 0:
				w = s.Watts * overlap(a, b, s.From, s.From+math.Min(24, s.Hours)) / dt
			}
			if s.Cap > 0 && w > s.Cap {
				clip[i], w = w-s.Cap, s.Cap
			}
			if (s.Kind == Shore || s.Kind == Generator) && s.Hours > 0 {
				outside[i] = math.Max(outside[i], overlap(a, b, s.From, s.From+math.Min(24, s.Hours))/dt)
			}
			offer[i] = w
		}
		k.offer, k.clip = append(k.offer, offer), append(k.clip, clip)
	}
	for _, l := range c.Loads {
		mean := l.Watts * l.Hours / l.window()
		for i := range steps {
			w := mean
			if l.window() < 24 {
				w *= overlap(float64(i)*dt, float64(i+1)*dt, l.From, l.To) / dt
			}
			if l.AC {
				w *= 1 - outside[i]
			}
			k.load[i] += w
		}
	}
	return k
}

// Run takes the bank through one day from a state of charge.
func (c Case) Run(soc float64) Day { return c.run(soc, c.lay()) }

func (c Case) run(soc float64, k course) Day {
	const dt = 1.0 / perHour
	b := c.Bank
	n := len(c.Sources)
	d := Day{Start: soc, Low: soc, EmptyAt: math.NaN(), Limits: map[string]bool{}}
	floor := 1 - b.Depth
	for h := range d.Hours {
		f := &d.Hours[h].Flow
		f.Given, f.Spilled, f.Clipped = make([]float64, n), make([]float64, n), make([]float64, n)
		for s := range perHour {
			i := h*perHour + s
			want := k.load[i]
			room := b.Accepts(soc) * b.Volts
			in := 0.0
			for j := range c.Sources {
				take := math.Min(k.offer[j][i], want+room-in)
				f.Given[j] += take * dt
				f.Spilled[j] += (k.offer[j][i] - take) * dt
				f.Clipped[j] += k.clip[j][i] * dt
				in += take
			}
			f.Load += want * dt
			if in >= want {
				into := (in - want) * dt
				f.Stored += into * b.Coulombic
				f.ChargeLoss += into * (1 - b.Coulombic)
				soc += into * b.Coulombic / b.Volts / b.AmpHours
				continue
			}
			out := want - in
			if out/b.Volts > b.DischargeA {
				d.Limits["discharge limit"] = true
			}
			drain := b.drain(out / b.Volts)
			out *= dt
			if have := math.Max(0, soc-floor) * b.AmpHours * b.Volts / drain; out > have {
				f.Unmet += out - have
				out = have
				if math.IsNaN(d.EmptyAt) {
					d.EmptyAt = float64(i) * dt
				}
			}
			f.Stored -= out * drain
			f.RateLoss += out * (drain - 1)
			soc -= out * drain / b.Volts / b.AmpHours
			if soc < d.Low {
				d.Low, d.LowAt = soc, float64(i+1)*dt
			}
		}
		d.Hours[h].SoC = soc
		d.Total.add(*f)
	}
	d.End = soc
	return d
}

func (f *Flow) add(o Flow) {
	if f.Given == nil {
		n := len(o.Given)
		f.Given, f.Spilled, f.Clipped = make([]float64, n), make([]float64, n), make([]float64, n)
	}
	for i := range o.Given {
		f.Given[i] += o.Given[i]
		f.Spilled[i] += o.Spilled[i]
		f.Clipped[i] += o.Clipped[i]
	}
	f.Load += o.Load
	f.Unmet += o.Unmet
	f.ChargeLoss += o.ChargeLoss
	f.RateLoss += o.RateLoss
	f.Stored += o.Stored
}

// Course is a row of like days from a full bank.
type Course struct {
	Day   Day     // the day that repeats itself, or the one on which the bank ends
	Days  int     // how many days were run
	Holds bool    // the same day can follow for ever
	Ends  float64 // days from full to the end of the usable charge, +Inf where it holds
}

// mostDays is how long a bank is followed; one that still sinks then is reported
// to sink.
const mostDays = 60

// Repeat runs like days from a full bank until a day ends where it began, or the
// usable charge ends.
func (c Case) Repeat() Course {
	k := c.lay()
	soc := 1.0
	for n := 1; ; n++ {
		d := c.run(soc, k)
		switch {
		case !math.IsNaN(d.EmptyAt):
			return Course{Day: d, Days: n, Ends: float64(n-1) + d.EmptyAt/24}
		case math.Abs(d.End-d.Start) < 1e-6:
			return Course{Day: d, Days: n, Holds: true, Ends: math.Inf(1)}
		case n == mostDays:
			sinks := d.Start - d.End
			return Course{Day: d, Days: n, Holds: sinks < 1e-4, Ends: ends(d, c.Bank, n, sinks)}
		}
		soc = d.End
	}
}

// ends is how many days a slowly sinking bank has.
func ends(d Day, b Bank, n int, sinks float64) float64 {
	if sinks < 1e-4 {
		return math.Inf(1)
	}
	return float64(n) + (d.Low-(1-b.Depth))/sinks
}
