package checklist

import (
	_ "embed"
	"fmt"
	"math"
	"strings"
	"sync"

	"gopkg.in/yaml.v3"
)

//go:embed items.yaml
var itemsFile []byte

// Phase is a stage of the work, in the order in which they are done.
type Phase struct {
	ID    string `yaml:"id"`
	Title string `yaml:"title"`
}

// entry is one item of the file, before a drawing makes it its own.
type entry struct {
	ID      string   `yaml:"id"`
	When    string   `yaml:"when"`
	Needs   string   `yaml:"needs"` // words of needs, all of which must hold
	Each    string   `yaml:"each"`  // word of places; "" for once
	Meter   string   `yaml:"meter"`
	Points  string   `yaml:"points"`
	Do      string   `yaml:"do"`
	Figure  string   `yaml:"figure"` // word of figures, else Expect
	Expect  string   `yaml:"expect"` // check, record, band, max or min
	Lo      *float64 `yaml:"lo"`
	Hi      *float64 `yaml:"hi"`
	WarnLo  *float64 `yaml:"warn_lo"`
	WarnHi  *float64 `yaml:"warn_hi"`
	Value   *float64 `yaml:"value"`
	Warn    *float64 `yaml:"warn"`
	Unit    string   `yaml:"unit"`
	Of      string   `yaml:"of"`     // mains or hertz: the figures are for 120 V or 60 Hz and go with the rig's own
	Of230   *limits  `yaml:"of_230"` // the band on a 230 V supply, where a published one takes the place of the scaled one
	IfWrong string   `yaml:"if_wrong"`
	Caution string   `yaml:"caution"`
	Basis   string   `yaml:"basis"`
}

// limits are a band told whole.
type limits struct {
	Lo     float64 `yaml:"lo"`
	Hi     float64 `yaml:"hi"`
	WarnLo float64 `yaml:"warn_lo"`
	WarnHi float64 `yaml:"warn_hi"`
}

type file struct {
	Phases []Phase `yaml:"phases"`
	Items  []entry `yaml:"items"`
}

// data reads the file; a mistake in it is ours, and the first test run meets it.
var data = sync.OnceValue(func() file {
	d := yaml.NewDecoder(strings.NewReader(string(itemsFile)))
	d.KnownFields(true)
	var f file
	if err := d.Decode(&f); err != nil {
		panic(fmt.Sprintf("the checklist: %v", err))
	}
	return f
})

// Phases are the stages, in order.
func Phases() []Phase { return data().Phases }

// expect is what an item without a figure of the drawing expects.
func (e entry) expect() Expect {
	or := func(v *float64, other float64) float64 {
		if v == nil {
			return other
		}
		return *v
	}
	x := Expect{Kind: Band, Lo: math.Inf(-1), Hi: math.Inf(1), Unit: e.Unit}
	switch e.Expect {
	case "check":
		return Expect{Kind: Check}
	case "record":
		return Expect{Kind: Record, Unit: e.Unit}
	case "band":
		x.Lo, x.Hi = *e.Lo, *e.Hi
		x.WarnLo, x.WarnHi = or(e.WarnLo, x.Lo), or(e.WarnHi, x.Hi)
		return x
	case "max":
		x.Hi = *e.Value
		x.WarnLo, x.WarnHi = x.Lo, or(e.Warn, x.Hi)
		return x
	case "min":
		x.Lo = *e.Value
		x.WarnLo, x.WarnHi = or(e.Warn, x.Lo), x.Hi
		return x
	}
	panic(fmt.Sprintf("the checklist: %s expects %q", e.ID, e.Expect))
}
