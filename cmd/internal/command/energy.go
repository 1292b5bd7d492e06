package command

import (
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strings"

	"rigline/components"
	"rigline/export/states"
	"rigline/rules/energy"
)

var energyDay = &Command{
	Name: "energy", Args: "FILE",
	Does:    "A day by the hour: charge, days without charge, recharge times, generator hours, what limits.",
	Example: "energy camper.yaml",
	Run: func(c *call) (int, error) {
		files, err := c.parse(1, 1, "one file")
		if err != nil {
			return Failed, err
		}
		doc, _, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		plan := energy.Of(doc)
		out := dayOf(plan, files[0])
		code := Content
		for _, b := range out.Banks {
			if !b.Holds || b.EmptyAt != nil {
				code = Found
			}
		}
		if *c.json {
			e := json.NewEncoder(c.stdout)
			e.SetIndent("", "  ")
			return code, e.Encode(out)
		}
		writeDay(c.stdout, out)
		return code, nil
	},
}

// energyDoc is the JSON of the day. A figure that would be endless is left out.
type energyDoc struct {
	Format  string           `json:"format"`
	File    string           `json:"file,omitempty"`
	Banks   []energyBank     `json:"banks"`
	Idle    []components.ID  `json:"not_on_a_bank"`
	Missing []energy.Missing `json:"missing"`
	RestsOn []string         `json:"rests_on"`
}

type energyBank struct {
	IDs       []components.ID   `json:"batteries"`
	Chemistry string            `json:"chemistry"`
	Volts     float64           `json:"nominal_v"`
	AmpHours  float64           `json:"capacity_ah"`
	UsableWh  float64           `json:"usable_wh"`
	LoadWh    float64           `json:"load_wh_per_day"`
	Loads     []energyLoad      `json:"loads"`
	Sources   []energySource    `json:"sources"`
	Autonomy  *float64          `json:"autonomy_days,omitempty"`
	Holds     bool              `json:"holds"`
	Ends      *float64          `json:"ends_after_days,omitempty"`
	DayShown  int               `json:"day"`
	Low       float64           `json:"lowest_soc"`
	LowAt     float64           `json:"lowest_at_h"`
	EmptyAt   *float64          `json:"empty_at_h,omitempty"`
	Day       [24]energy.Hour   `json:"hours"`
	Total     energy.Flow       `json:"total"`
	Recharge  []energy.Recharge `json:"recharge"`
	Generator *energyGenerator  `json:"generator,omitempty"`
	Other     *energy.Other     `json:"begun_at_another_hour,omitempty"`
	Limits    []string          `json:"limits"`
}

type energyGenerator struct {
	Source string   `json:"source"`
	Hours  *float64 `json:"hours_per_day"` // null where a whole day does not do
}

type energyLoad struct {
	Name   string  `json:"name"`
	Wh     float64 `json:"wh"`
	Loss   float64 `json:"loss_wh"` // of it, in converters and inverters
	Untold bool    `json:"hours_not_told,omitempty"`
}

type energySource struct {
	Name  string      `json:"name"`
	Kind  energy.Kind `json:"kind"`
	Hours float64     `json:"hours_per_day"`
	Wh    float64     `json:"wh"` // taken on the day shown
}

// finite leaves an endless or undefined figure out.
func finite(v float64) *float64 {
	if math.IsInf(v, 0) || math.IsNaN(v) {
		return nil
	}
	return &v
}

func dayOf(plan *energy.Plan, file string) energyDoc {
	out := energyDoc{Format: states.Format, File: file, Banks: []energyBank{}, Idle: orEmpty(plan.Idle), Missing: orEmpty(plan.Missing), RestsOn: orEmpty(plan.RestsOn)}
	for _, k := range plan.Cases {
		r := k.Work()
		d := r.Course.Day
		b := energyBank{IDs: k.Bank.IDs, Chemistry: k.Bank.Chemistry.ID, Volts: k.Bank.Volts, AmpHours: k.Bank.AmpHours, UsableWh: k.Bank.UsableWh(),
			LoadWh: r.LoadWh, Autonomy: finite(r.Autonomy), Holds: r.Course.Holds, Ends: finite(r.Course.Ends), DayShown: r.Course.Days,
			Low: d.Low, LowAt: d.LowAt, EmptyAt: finite(d.EmptyAt), Day: d.Hours, Total: d.Total, Recharge: []energy.Recharge{}, Limits: orEmpty(r.Limits),
			Loads: []energyLoad{}, Sources: []energySource{}, Other: r.Other}
		for _, l := range k.Loads {
			b.Loads = append(b.Loads, energyLoad{l.Name, l.Wh(), l.Loss * l.Hours, l.Untold})
		}
		for j, s := range k.Sources {
			b.Sources = append(b.Sources, energySource{s.Name, s.Kind, s.Hours, d.Total.Given[j]})
		}
		for _, x := range r.Recharge {
			if math.IsInf(x.Hours, 1) {
				x.Hours = 0
			}
			b.Recharge = append(b.Recharge, x)
		}
		if r.Generator.Source != "" {
			b.Generator = &energyGenerator{r.Generator.Source, finite(r.Generator.Value)}
		}
		out.Banks = append(out.Banks, b)
	}
	return out
}

func orEmpty[T any](all []T) []T {
	if all == nil {
		return []T{}
	}
	return all
}

func writeDay(w io.Writer, d energyDoc) {
	if len(d.Banks) == 0 {
		fmt.Fprintln(w, "No bank whose day could be worked out.")
	}
	for _, b := range d.Banks {
		b.write(w)
	}
	if len(d.Idle) > 0 {
		fmt.Fprintf(w, "Not carried by a bank: %s\n", joined(d.Idle))
	}
	if len(d.Missing) > 0 {
		fmt.Fprintln(w, "Not known, so the figures above leave it out:")
		for _, m := range d.Missing {
			fmt.Fprintf(w, "  %s\n", m)
		}
	}
	if len(d.RestsOn) > 0 {
		fmt.Fprintln(w, "Believed:")
		for _, s := range d.RestsOn {
			fmt.Fprintf(w, "  %s\n", s)
		}
	}
}

func (b energyBank) write(w io.Writer) {
	title := fmt.Sprintf("%s: %s %.4g V %.4g Ah, %.0f Wh usable", joined(b.IDs), b.Chemistry, b.Volts, b.AmpHours, b.UsableWh)
	fmt.Fprintf(w, "%s\n%s\n", title, strings.Repeat("=", len([]rune(title))))
	fmt.Fprintf(w, "  Loads, %.0f Wh a day at the bank:\n", b.LoadWh)
	for _, l := range b.Loads {
		if l.Untold {
			fmt.Fprintf(w, "    %-22s       ? Wh, hours not told\n", l.Name)
			continue
		}
		fmt.Fprintf(w, "    %-22s %7.0f Wh", l.Name, l.Wh)
		if l.Loss > 0 && l.Loss < l.Wh-0.5 {
			fmt.Fprintf(w, ", %.0f Wh of it lost on the way", l.Loss)
		}
		fmt.Fprintln(w)
	}
	switch {
	case b.LoadWh == 0:
		fmt.Fprintln(w, "  No load has hours: there is no day to work out.")
	case b.Autonomy != nil:
		fmt.Fprintf(w, "  Without any charge it lasts %.1f days.\n", *b.Autonomy)
	}
	if len(b.Sources) > 0 {
		fmt.Fprintln(w, "  Sources, in the order in which they are used:")
	}
	for i, s := range b.Sources {
		how := fmt.Sprintf("%.0f Wh taken on the day below", s.Wh)
		if s.Hours == 0 && s.Kind != energy.OtherBank {
			how = "no hours a day told: not counted"
		}
		full := "never full"
		if x := b.Recharge[i]; x.Hours > 0 {
			full = fmt.Sprintf("full in %.1f h at %.0f A (%s)", x.Hours, x.Amps, x.Holds)
		}
		fmt.Fprintf(w, "    %-22s %s; from empty %s\n", s.Name, how, full)
	}
	if b.LoadWh > 0 {
		b.verdict(w)
	}
	for _, l := range b.Limits {
		fmt.Fprintf(w, "  Held back by: %s\n", l)
	}
	b.hours(w)
}

func (b energyBank) verdict(w io.Writer) {
	switch {
	case b.Holds:
		fmt.Fprintf(w, "  Such days can follow each other: lowest %.0f %% at %s.\n", 100*b.Low, clock(b.LowAt))
	case b.Ends != nil:
		fmt.Fprintf(w, "  Such days end the usable charge after %.1f days from full at midnight.\n", *b.Ends)
	}
	switch o := b.Other; {
	case o == nil:
	case o.Holds:
		fmt.Fprintf(w, "  Begun at %s instead of %s, what is run by hand would make them follow each other.\n", clock(o.From), clock(energy.Starts))
	default:
		fmt.Fprintf(w, "  Begun at %s instead of %s, what is run by hand would no longer do.\n", clock(o.From), clock(energy.Starts))
	}
	if g := b.Generator; g != nil && !b.Holds {
		switch {
		case g.Hours == nil:
			fmt.Fprintf(w, "  %s does not make up for it in a whole day.\n", g.Source)
		case *g.Hours > 0:
			fmt.Fprintf(w, "  %s has to run %.1f h a day to make up for it.\n", g.Source, *g.Hours)
		}
	}
}

func (b energyBank) hours(w io.Writer) {
	fmt.Fprintf(w, "\n  Day %d   %8s %8s %8s %8s  charge at the hour's end\n", b.DayShown, "load Wh", "given Wh", "spilled", "unmet")
	for h, x := range b.Day {
		given, spilled := 0.0, 0.0
		for j := range x.Given {
			given += x.Given[j]
			spilled += x.Spilled[j] + x.Clipped[j]
		}
		bar := strings.Repeat("#", int(math.Round(30*x.SoC)))
		fmt.Fprintf(w, "  %02d:00   %8.0f %8.0f %8.0f %8.0f  %3.0f %% %s\n", h, x.Load, given, spilled, x.Unmet, 100*x.SoC, bar)
	}
	fmt.Fprintln(w)
}

// clock prints an hour of the day.
func clock(h float64) string {
	m := int(math.Round(h * 60))
	return fmt.Sprintf("%02d:%02d", m/60%24, m%60)
}

func joined(ids []components.ID) string {
	words := make([]string, len(ids))
	for i, id := range ids {
		words[i] = string(id)
	}
	return strings.Join(words, ", ")
}
