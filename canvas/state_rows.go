package canvas

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"fyne.io/fyne/v2/container"
	"fyne.io/fyne/v2/theme"
	"fyne.io/fyne/v2/widget"

	"rigline/canvas/session"
	"rigline/components"
)

// noSite is the choice for a state on no site supply.
const noSite = "off"

// state edits the chosen operating state.
func (d *details) state(name string) {
	s := d.e.s
	now := func() components.State { st, _ := s.StateNamed(name); return st }
	set := func(change func(*components.State)) error { return s.EditState(name, change) }
	d.head("The state " + name)
	if !s.OwnStates() {
		l := widget.NewLabel("Worked out from the parts. Change something and all states become the rig's own.")
		l.Wrapping = wrapWord
		d.list.Add(l)
	}
	d.add(
		textRow("Name", "", func() string { return s.Say(now().Name) }, func(t string) error {
			if t = strings.TrimSpace(t); t == s.Say(now().Name) {
				return nil
			}
			return set(func(st *components.State) { st.Name = t })
		}),
		siteRow(func() string { return now().Shore }, func(shore string) error { return set(func(st *components.State) { st.Shore = shore }) }),
		onOffRow("Generator", func() bool { return now().Generator }, func(on bool) error { return set(func(st *components.State) { st.Generator = on }) }),
		onOffRow("Engine", func() bool { return now().Engine }, func(on bool) error { return set(func(st *components.State) { st.Engine = on }) }),
		percentRow("Sun", func() float64 { return now().Sun }, func(v float64) error { return set(func(st *components.State) { st.Sun = v }) }),
		percentRow("Bank charged to", func() float64 { return now().SoC }, func(v float64) error { return set(func(st *components.State) { st.SoC = v }) }),
		onOffRow("Transfer switches turned by hand", func() bool { return now().Bypass }, func(on bool) error { return set(func(st *components.State) { st.Bypass = on }) }),
		tagsRow("Switched off", "none", s, func() []components.ID { return now().Off }, func(ids []components.ID) error { return set(func(st *components.State) { st.Off = ids }) }),
		tagsRow("The only loads on", "all", s, func() []components.ID { return now().On }, func(ids []components.ID) error { return set(func(st *components.State) { st.On = ids }) }),
	)
	more := newButton("Another like this", theme.ContentAddIcon(), func() { d.tell(s.AddState(name)) })
	less := newButton("Remove it", theme.DeleteIcon(), func() { d.tell(s.RemoveState(name)) })
	d.list.Add(container.NewGridWithColumns(2, more, less))
	if s.OwnStates() {
		d.list.Add(newButton("Work all states out from the parts", nil, func() { d.tell(s.WorkOutStates()) }))
	}
}

func (d *details) tell(err error) {
	if err != nil {
		d.e.s.Tell(session.Wrong, "%v", err)
	}
}

// siteRow edits the supply that a state stands on, in plain words.
func siteRow(get func() string, set func(string) error) *row {
	supplies := append([]string{""}, slices.Concat(components.Services, components.Adapters)...)
	words := make([]string, len(supplies))
	for i, s := range supplies {
		if words[i] = plainWord("", s); s == "" {
			words[i] = noSite
		}
	}
	return pickRow("Site supply", words, func() string { return words[max(0, slices.Index(supplies, get()))] },
		func(t string) error { return set(supplies[max(0, slices.Index(words, t))]) })
}

func onOffRow(title string, get func() bool, set func(bool) error) *row {
	return pickRow(title, []string{"off", "on"}, func() string {
		if get() {
			return "on"
		}
		return "off"
	}, func(t string) error { return set(t == "on") })
}

// percentRow edits a part of one as per cent.
func percentRow(title string, get func() float64, set func(float64) error) *row {
	f := &components.Field{Key: title, Title: title, Unit: "%", Type: components.Number, Min: 0, Max: 100, Required: true, Shapes: true}
	return fieldRow(f, func() components.Value { return components.Num(round(get() * 100)) }, func() components.Spec { return nil },
		func(v components.Value) error {
			if v.Num() == round(get()*100) {
				return nil
			}
			return set(v.Num() / 100)
		}, false)
}

func round(v float64) float64 {
	r, _ := strconv.ParseFloat(fmt.Sprintf("%.1f", v), 64)
	return r
}

func tagsRow(title, none string, s *session.Session, get func() []components.ID, set func([]components.ID) error) *row {
	return textRow(title, none, func() string {
		words := make([]string, len(get()))
		for i, id := range get() {
			words[i] = string(id)
		}
		return strings.Join(words, ", ")
	}, func(t string) error {
		ids, err := s.PartTags(t)
		if err != nil {
			return err
		}
		return set(ids)
	})
}
