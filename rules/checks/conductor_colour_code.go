package checks

import (
	"fmt"
	"strings"

	"rigline/components"
	"rigline/rules"
)

// ColourCode asks for colours that tell a conductor's pole.
var ColourCode = &rules.Rule{
	ID:    "conductor.colour-code",
	Title: "The colour of a DC conductor tells the wrong pole",
	Must:  "No conductor that carries current is of a ground's colour, and one scheme holds for the whole rig: red positive with black or yellow negative, or black positive with white negative.",
	Basis: []rules.Basis{
		{Source: "ABYC E-11", Says: "positive red; negative black or yellow, yellow near AC; DC grounding green or green-yellow (a marine standard, not law in a vehicle)", Seen: rules.Published},
		{Source: "trailer makers' practice", Says: "black positive, white negative", Seen: rules.Memory},
	},
	Level: rules.Violation, Stateless: true,
	Check: colourCode,
}

func colourCode(p *rules.Pass) {
	red, black := 0, 0
	for _, r := range p.Doc.Runs() {
		if pole, color, ok := dcColour(p, r); ok && pole == components.Pos {
			switch color {
			case "red":
				red++
			case "black":
				black++
			}
		}
	}
	trailer := black > red
	for _, r := range p.Doc.Runs() {
		if cores := p.Doc.CoresOf(r); r.Told("color").IsUnknown() && !r.Gone() && len(cores) == 1 && cores[0].From.DC() {
			p.Unchecked(string(r.ID), fmt.Sprintf("color of %s is not known, so whether it tells its pole is not: look at it", r.ID))
		}
		if pole, color, ok := dcColour(p, r); ok {
			colour(p, r, pole, color, trailer)
		}
	}
}

// dcColour is the colour of a run of one DC core.
func dcColour(p *rules.Pass, r components.Run) (components.Pole, string, bool) {
	v, from := r.Value("color")
	cores := p.Doc.CoresOf(r)
	if r.Gone() || from == components.Missing || len(cores) != 1 || !cores[0].From.DC() || cores[0].To != cores[0].From {
		return "", "", false
	}
	for _, end := range []components.PortRef{r.From, r.To} {
		if q, _ := p.Doc.Part(end.Part); q.Kind.Role == components.Bonds {
			return "", "", false // carries nothing until something fails
		}
	}
	return cores[0].From, strings.ToLower(strings.TrimSpace(v.Str())), v.Str() != ""
}

// What tells the other pole, or something else, by either scheme.
var (
	otherColour = map[components.Pole]map[string]bool{
		components.Pos: {"black": true, "yellow": true, "white": true, "blue": true},
		components.Neg: {"red": true, "white": true},
	}
	otherTrailerColour = map[components.Pole]map[string]bool{
		components.Pos: {"white": true, "yellow": true, "blue": true},
		components.Neg: {"black": true, "red": true},
	}
)

func colour(p *rules.Pass, r components.Run, pole components.Pole, color string, trailer bool) {
	wrong := otherColour
	if trailer {
		wrong = otherTrailerColour
	}
	ground := strings.HasPrefix(color, "green") || color == "bare"
	if !ground && !wrong[pole][color] {
		return
	}
	right, scheme := map[components.Pole]string{components.Pos: "red", components.Neg: "black"}, "red positive, black or yellow negative"
	if trailer {
		right, scheme = map[components.Pole]string{components.Pos: "black", components.Neg: "white"}, "black positive, white negative"
	}
	f := rules.Finding{At: string(r.ID), Fixes: []rules.Fix{{Title: fmt.Sprintf("Sleeve both ends of %s %s", r.ID, right[pole]), Edits: []components.Edit{set(r.ID, "color", components.Str(right[pole]))}}}}
	side := "positive"
	if pole == components.Neg {
		side = "negative"
	}
	if ground {
		f.Message = fmt.Sprintf("%s is %s, the colour of a ground, and carries current: it is the %s of its circuit", r.ID, color, side)
	} else {
		f.Level = rules.Advice
		f.Message = fmt.Sprintf("%s is %s and is the %s of its circuit; the rest of the rig goes by %s", r.ID, color, side, scheme)
	}
	p.Report(f)
}
