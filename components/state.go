package components

import "fmt"

// State is one way in which the rig is used: which sources are alive and what is
// switched on. Relays are never set by hand; they follow.
type State struct {
	Name      string
	Shore     string  // a service, an adapter, or "" for off
	Generator bool    // the generator runs
	Sun       float64 // 0 to 1
	Engine    bool    // the alternator turns
	SoC       float64 // state of charge, 0 to 1
	Off       []ID    // loads and inverters switched off, and site supplies that are not plugged in
	On        []ID    // where not empty, the only loads on
	Bypass    bool    // transfer switches turned by hand stand at b
}

// Key is the same for two states that differ in their name alone.
func (s State) Key() string {
	return fmt.Sprintf("%s|%t|%g|%t|%g|%q|%q|%t", s.Shore, s.Generator, s.Sun, s.Engine, s.SoC, s.Off, s.On, s.Bypass)
}

// Operating gives the document's own states, or those worked out from the parts.
func (d *Document) Operating() []State {
	if len(d.States) > 0 {
		return d.States
	}
	return d.WorkedOut()
}

// WorkedOut are the states that the parts offer: one for each AC source alone, one
// for each smaller site supply through an adapter that bridges the legs, one off
// grid, one in the sun, one driving, a bypass where a switch turned by hand offers one,
// and one for each further site supply that may stand at an inlet in another's place. Names stay put, since accepted findings refer to them.
func (d *Document) WorkedOut() []State {
	var shore *Part
	var plugs [][]Plug // by inlet, where there are several
	var generator, stores, sun, engine, bypass bool
	for _, p := range d.Parts() {
		if p.Gone() {
			continue
		}
		switch p.Kind.ID {
		case Shore.ID:
			if shore == nil {
				shore = &p
			}
		case Inlet.ID:
			if all := d.Plugs(p.Ref("site")); all != nil {
				plugs = append(plugs, all)
			}
		case Generator.ID:
			generator = true
		case Battery.ID:
			stores = true
		case SolarArray.ID:
			sun = true
		case Alternator.ID:
			engine = true
		case DCSwitch.ID:
			engine = engine || p.Word("closed_by") == WithEngine // of a vehicle that is not drawn
		case TransferSwitch.ID:
			bypass = bypass || p.Is("manual")
		}
	}
	const half = 0.5
	var states []State
	if shore != nil {
		service := shore.Word("service")
		states = append(states, State{Name: "Shore", Shore: service, SoC: half})
		if ThreeWire(service) {
			for _, a := range Adapters {
				states = append(states, State{Name: "Shore " + a[:2] + " A adapter", Shore: a, SoC: half})
			}
		}
		if bypass {
			states = append(states, State{Name: "Service bypass", Shore: service, SoC: half, Bypass: true})
		}
		for _, all := range plugs {
			first, _ := states[0].PluggedIn(d, all)
			for _, in := range all {
				if in == first {
					continue
				}
				q, _ := d.Part(in.Shore)
				s := State{Name: "Shore " + string(in.Shore), Shore: q.Word("service"), SoC: half}
				for _, other := range all {
					if other != in {
						s.Off = append(s.Off, other.Shore)
					}
				}
				states = append(states, s)
			}
		}
	}
	if generator {
		states = append(states, State{Name: "Generator", Generator: true, SoC: half})
	}
	if stores {
		states = append(states, State{Name: "Off grid", SoC: half})
		if sun {
			states = append(states, State{Name: "Off grid, sun", Sun: 1, SoC: half})
		}
	}
	if engine {
		states = append(states, State{Name: "Driving", Engine: true, SoC: half})
	}
	return states
}
