package circuit

import "fmt"

// Stands tells in words where every device that moves by itself stands, and which
// do not settle.
func (c *Circuit) Stands() []string {
	var lines []string
	for _, p := range c.Doc.Parts() {
		switch at := c.Positions[p.ID]; at {
		case AtA, AtB:
			lines = append(lines, fmt.Sprintf("%s stands at %s", p.ID, InputOf(c.Doc, p.ID, at)))
		case Passing:
			lines = append(lines, fmt.Sprintf("%s passes its input through", p.ID))
		case Inverting:
			lines = append(lines, fmt.Sprintf("%s makes AC from the bank", p.ID))
		case Resting:
			lines = append(lines, fmt.Sprintf("%s rests", p.ID))
		case Closed, Open:
			lines = append(lines, fmt.Sprintf("%s is %s", p.ID, at))
		}
	}
	for _, id := range c.Unsettled {
		lines = append(lines, fmt.Sprintf("%s does not settle", id))
	}
	return lines
}
