package command

import (
	"encoding/json"
	"fmt"
	"math"
	"slices"
	"strings"

	"rigline/components"
	"rigline/export/states"
	"rigline/rules/circuit"
	"rigline/rules/solve"
)

var solveStates = &Command{
	Name: "solve", Args: "[--state NAME] FILE",
	Does:    "Currents, voltages, drops and prospective fault currents of every state.",
	Example: `solve kitchen.yaml --state "Off grid"`,
	Run: func(c *call) (int, error) {
		name := c.String("state", "", "one state alone, by its name")
		files, err := c.parse(1, 1, "one file")
		if err != nil {
			return Failed, err
		}
		doc, _, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		d, err := states.Of(doc, files[0], *name)
		if err != nil {
			return Failed, usageError{err}
		}
		code := Content
		for _, s := range d.States {
			if s.Unsolved != "" {
				code = Found
			}
		}
		if *c.json {
			e := json.NewEncoder(c.stdout)
			e.SetIndent("", "  ")
			return code, e.Encode(d)
		}
		return code, states.Write(c.stdout, d)
	},
}

var whatIf = &Command{
	Name: "whatif", Args: "FILE (--open-neutral RUN|--lose-leg RUN:L1|--swap-hot-neutral|--extra-bond PART|--blow PART|--lose-string BATTERY)",
	Does:    "The states after one fault: what every load gets, what flows in the ground.",
	Example: "whatif library.yaml --open-neutral W1",
	Run: func(c *call) (int, error) {
		neutral := c.String("open-neutral", "", "the neutral of a run breaks")
		leg := c.String("lose-leg", "", "a leg of a run breaks, as W1:L2")
		swap := c.Bool("swap-hot-neutral", false, "hot and neutral exchanged at the site outlet")
		bond := c.String("extra-bond", "", "neutral meets ground at a part")
		blow := c.String("blow", "", "a fuse, breaker or switch opens; a panel's circuit as PNL1.c2")
		lost := c.String("lose-string", "", "one string of a battery drops out")
		name := c.String("state", "", "one state alone, by its name")
		files, err := c.parse(1, 1, "one file")
		if err != nil {
			return Failed, err
		}
		doc, _, err := c.load(files[0])
		if err != nil {
			return Failed, err
		}
		change, says, err := oneChange(doc, *neutral, *leg, *bond, *blow, *lost, *swap)
		if err != nil {
			return Failed, err
		}
		return c.whatIf(doc, files[0], *name, says, change)
	},
}

// oneChange makes the one fault that was asked for.
func oneChange(doc *components.Document, neutral, leg, bond, blow, lost string, swap bool) (circuit.Change, string, error) {
	var made []circuit.Change
	says := ""
	if neutral != "" {
		made, says = append(made, circuit.OpenCore(components.ID(neutral), components.N)), "the neutral of "+neutral+" is open"
	}
	if leg != "" {
		run, pole, ok := strings.Cut(leg, ":")
		if !ok || !components.Pole(pole).Hot() {
			return nil, "", usagef("--lose-leg %q: want RUN:L1, RUN:L2 or RUN:L", leg)
		}
		made, says = append(made, circuit.OpenCore(components.ID(run), components.Pole(pole))), pole+" of "+run+" is open"
	}
	if bond != "" {
		made, says = append(made, circuit.ExtraBond(components.ID(bond))), "neutral meets ground at "+bond+" too"
	}
	if blow != "" {
		part, place, _ := strings.Cut(blow, ".")
		made, says = append(made, circuit.Blow(components.ID(part), place)), blow+" is open"
	}
	if lost != "" {
		made, says = append(made, circuit.LoseString(components.ID(lost))), "one string of "+lost+" is out"
	}
	if swap {
		for _, p := range doc.Parts() {
			if p.Kind == &components.Shore {
				made, says = append(made, circuit.SwapHotNeutral(p.ID)), "hot and neutral are exchanged at "+string(p.ID)
			}
		}
		if len(made) == 0 {
			return nil, "", fmt.Errorf("the drawing has no site supply to exchange hot and neutral at")
		}
	}
	if len(made) != 1 {
		return nil, "", usagef("want exactly one fault: --open-neutral, --lose-leg, --swap-hot-neutral, --extra-bond, --blow or --lose-string")
	}
	return made[0], says, nil
}

// outcome is the JSON of one state after a fault.
type outcome struct {
	State      string                `json:"state"`
	Unsolved   string                `json:"unsolved,omitempty"`
	Loads      []solve.LoadVoltage   `json:"loads"`
	Banks      []solve.BankCurrent   `json:"banks,omitempty"`
	Ground     []solve.GroundCurrent `json:"ground"`
	ResidualMA float64               `json:"residual_ma"`
	SiteTrips  bool                  `json:"site_trips"`
}

func (c *call) whatIf(doc *components.Document, file, name, says string, change circuit.Change) (int, error) {
	var all []outcome
	code := Content
	var last error
	for _, st := range doc.Operating() {
		if name != "" && st.Name != name {
			continue
		}
		o, err := solve.WhatIf(circuit.Build(doc, st), change)
		if err != nil {
			last = err
			continue
		}
		out := outcome{State: st.Name, Loads: o.Loads, Banks: o.Banks, Ground: o.Ground, ResidualMA: o.ResidualMA, SiteTrips: o.SiteTrips}
		if o.After.Failure != nil {
			out.Unsolved = o.After.Failure.Reason
		}
		if slices.ContainsFunc(o.Banks, solve.BankCurrent.Over) {
			code = Found
		}
		if slices.ContainsFunc(o.Loads, func(v solve.LoadVoltage) bool { return v.Percent() > 110 }) || len(o.Ground) > 0 || out.Unsolved != "" {
			code = Found
		}
		all = append(all, out)
	}
	if len(all) == 0 {
		if last == nil {
			last = usagef("there is no state %q", name)
		}
		return Failed, last
	}
	if *c.json {
		e := json.NewEncoder(c.stdout)
		e.SetIndent("", "  ")
		return code, e.Encode(map[string]any{"format": states.Format, "file": file, "fault": says, "states": all})
	}
	for _, o := range all {
		c.tell(o, says)
	}
	return code, nil
}

func (c *call) tell(o outcome, says string) {
	fmt.Fprintf(c.stdout, "%s, %s\n", o.State, says)
	if o.Unsolved != "" {
		fmt.Fprintf(c.stdout, "  No solution: %s\n", o.Unsolved)
	}
	if len(o.Loads) > 0 {
		fmt.Fprintf(c.stdout, "  %-8s %10s %10s\n", "load", "before V", "after V")
	}
	for _, v := range o.Loads {
		note := ""
		switch {
		case v.Percent() > 110:
			note = "  too high: destroys it"
		case v.After < 1 && v.Before > 1:
			note = "  dead"
		case v.Percent() < 85 && v.Before > v.After:
			note = "  too low"
		}
		fmt.Fprintf(c.stdout, "  %-8s %10.1f %10.1f%s\n", v.Load, v.Before, v.After, note)
	}
	for _, b := range o.Banks {
		way, note := "gives", ""
		if b.Before < 0 {
			way, b.Before, b.After = "takes", -b.Before, -b.After
		}
		switch {
		case way == "gives" && b.Over():
			note = fmt.Sprintf("  over its %.0f A", b.LimitA)
		case b.After < 0:
			note = "  the other way"
		}
		fmt.Fprintf(c.stdout, "  %s %s %.1f A, then %.1f A%s\n", b.Battery, way, b.Before, math.Abs(b.After), note)
	}
	for _, g := range o.Ground {
		fmt.Fprintf(c.stdout, "  ground: %.3f A in %s\n", g.Amps, g.At)
	}
	if o.ResidualMA > 0.01 {
		trips := "it holds"
		if o.SiteTrips {
			trips = "it trips"
		}
		fmt.Fprintf(c.stdout, "  a ground-fault device at the site would see %.1f mA: %s\n", o.ResidualMA, trips)
	}
	fmt.Fprintln(c.stdout)
}
