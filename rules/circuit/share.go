package circuit

import (
	"fmt"
	"strings"

	"rigline/components"
)

// sharesWith tells whether two sources are made to push into one conductor, in step.
func (s Source) sharesWith(o Source) bool {
	return s.Shares && o.Shares && s.Part != o.Part && s.Degrees == o.Degrees && s.Volts == o.Volts
}

// share gives converters that share an output the limit of all together: a conductor behind
// the place where they meet carries that, and no single one's limit bounds it.
func (c *Circuit) share() {
	var made []Source // that are made to share
	for i := range c.Sources {
		s := &c.Sources[i]
		switch p, _ := c.Doc.Part(s.Part); p.Kind {
		case &components.Inverter, &components.InverterCharger, &components.DCConverter:
			if s.Shares = p.Is("shares_output"); s.Shares {
				made = append(made, *s)
			}
		}
	}
	for i := range c.Sources {
		s := &c.Sources[i]
		names := []string{string(s.Part)}
		for _, o := range made {
			if o.sharesWith(*s) && c.nets[o.Hot] == c.nets[s.Hot] {
				names = append(names, string(o.Part))
				s.LimitA += o.LimitA
			}
		}
		if len(names) > 1 {
			s.LimitText = fmt.Sprintf("%s together, %.4g A", strings.Join(names, " and "), s.LimitA)
		}
	}
}
