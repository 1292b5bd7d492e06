// Package photocopy looks at a picture of a sheet as a photocopy shows it, black or
// white, and tells the lines on it by what is seen of them alone. It is for tests.
package photocopy

import (
	"fmt"
	"image"
	"image/color"
	"image/png"
	"math"
	"os"
	"slices"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/components"
	"rigline/export/scene"
)

// DPI is how finely the pictures are to be made.
const DPI = 300

// roles are those of conductors, which must be told apart.
var roles = []scene.Role{scene.Hot1, scene.Hot2, scene.Neutral, scene.Ground, scene.DCPos, scene.DCNeg, scene.PV}

// Document has a long straight run of every role, new and existing, and DC mains.
func Document(t testing.TB) *components.Document {
	var edits []components.Edit
	part := func(id components.ID, kind *components.Kind, x, y int, spec components.Spec) {
		edits = append(edits, components.AddPart{Part: components.Part{ID: id, Kind: kind, At: components.Point{X: x, Y: y}, Spec: spec}})
	}
	n := 0
	run := func(from, to *components.Kind, out, in string, pole components.Pole, size string, spec components.Spec) {
		for _, status := range []components.Status{components.New, components.Existing} {
			n++
			a, b := components.ID(fmt.Sprintf("A%d", n)), components.ID(fmt.Sprintf("B%d", n))
			part(a, from, 0, 80*n, spec)
			part(b, to, 400, 80*n, spec)
			edits = append(edits, components.AddRun{Run: components.Run{ID: components.ID(fmt.Sprintf("W%d", n)), Status: status,
				From: components.PortRef{Part: a, Port: out}, To: components.PortRef{Part: b, Port: in}, Cores: []components.Core{{From: pole, To: pole}},
				Spec: components.Spec{"size": components.Str(size), "length_ft": components.Num(9)}}})
		}
	}
	two := components.Spec{"hots": components.Num(2)}
	for _, pole := range []components.Pole{components.L1, components.L2, components.N, components.G} {
		run(&components.ACBreaker, &components.ACBreaker, "load", "line", pole, "10 AWG", two)
	}
	for _, pole := range []components.Pole{components.Pos, components.Neg} {
		for _, size := range []string{"10 AWG", "4/0 AWG"} {
			run(&components.Fuse, &components.Fuse, "load", "line", pole, size, components.Spec{"pole": components.Str(string(pole))})
		}
	}
	run(&components.SolarArray, &components.Fuse, "out", "line", components.Pos, "10 AWG", nil)
	doc, err := components.NewDocument("Every role").Apply(edits...)
	require.NoError(t, err)
	return doc
}

// line is a straight piece of a conductor on a sheet, or of the conductor key.
type line struct {
	name     string
	role     scene.Role
	from, to scene.Pt
}

// lines are the longest piece of every run and the lines of the key.
func lines(s *scene.Sheet) []line {
	var all []line
	seen := map[string]int{}
	for _, sh := range s.Shapes {
		if sh.Form != scene.Polyline || len(sh.Pts) != 2 || !slices.Contains(roles, sh.Role) || sh.Pts[0].Y != sh.Pts[1].Y {
			continue
		}
		l := line{name: sh.Address, role: sh.Role, from: sh.Pts[0], to: sh.Pts[1]}
		if sh.Layer == scene.FrameLayer {
			l.name = "key of " + string(sh.Role)
		} else if sh.Layer != scene.RunLayer {
			continue
		}
		if math.Abs(l.to.X-l.from.X) < 60 {
			continue
		}
		if _, again := seen[l.name]; !again {
			seen[l.name] = len(all)
			all = append(all, l)
		}
	}
	return all
}

// look is what a photocopy shows of a line: how many edges it has and, where it is
// broken, the lengths of its dashes in millimetres.
type look struct {
	edges           int
	broken          bool
	shortest, other float64 // of the dashes
}

func (l look) String() string {
	if !l.broken {
		return fmt.Sprintf("%d edges, unbroken", l.edges)
	}
	return fmt.Sprintf("%d edges, dashes of %.1f to %.1f mm", l.edges, l.shortest, l.other)
}

// told tells whether a reader can tell two lines apart without taking a ruler to
// them: by the edges, by the breaks, by dashes half as long again, or by short ones
// among the long. Widths are not looked at: they tell new from existing.
func (l look) told(from look) bool {
	const clearly = 1.5
	if l.edges != from.edges || l.broken != from.broken {
		return true
	}
	if !l.broken {
		return false
	}
	ratio := func(a, b float64) float64 { return max(a, b) / min(a, b) }
	return ratio(l.shortest, from.shortest) >= clearly || ratio(l.other, from.other) >= clearly
}

// copied is a picture of a whole sheet in black and white.
type copied struct {
	w, h  int
	black []bool
	sheet *scene.Sheet
	unit  float64 // pixels
}

// copyOf blurs a grey picture by a pixel and leaves it black or white.
func copyOf(img image.Image, s *scene.Sheet) copied {
	const paper = 0.7 // what is lighter comes out white
	b := img.Bounds()
	c := copied{b.Dx(), b.Dy(), make([]bool, b.Dx()*b.Dy()), s, float64(b.Dx()) / (s.Paper.Max.X - s.Paper.Min.X)}
	grey := make([]float64, c.w*c.h)
	for y := range c.h {
		for x := range c.w {
			grey[y*c.w+x] = float64(color.GrayModel.Convert(img.At(b.Min.X+x, b.Min.Y+y)).(color.Gray).Y) / 255
		}
	}
	for y := 1; y < c.h-1; y++ {
		for x := 1; x < c.w-1; x++ {
			sum := 0.0
			for j := y - 1; j <= y+1; j++ {
				sum += grey[j*c.w+x-1] + grey[j*c.w+x] + grey[j*c.w+x+1]
			}
			c.black[y*c.w+x] = sum/9 < paper
		}
	}
	return c
}

// look looks at a level line: how many black pieces stand above each other, and how
// long each goes on.
func (c copied) look(l line) look {
	const reach, end = 3.6, 12 // sheet units to each side, and what is left out at the ends
	at := func(p scene.Pt) (x, y float64) {
		return (p.X - c.sheet.Paper.Min.X) * c.unit, (p.Y - c.sheet.Paper.Min.Y) * c.unit
	}
	x0, y0 := at(l.from)
	x1, _ := at(l.to)
	counts := map[int]int{}
	var dashes []float64
	run, breaks := 0, 0
	for x := int(min(x0, x1) + end*c.unit); x < int(max(x0, x1)-end*c.unit); x++ {
		pieces, was := 0, false
		for y := int(y0 - reach*c.unit); y <= int(y0+reach*c.unit); y++ {
			black := c.black[y*c.w+x]
			if black && !was {
				pieces++
			}
			was = black
		}
		if counts[pieces]++; pieces > 0 {
			run++
			continue
		}
		if run > 0 {
			if breaks > 0 { // the first dash may begin at the line's end
				dashes = append(dashes, float64(run)/c.unit/scene.UnitsPerMM)
			}
			breaks++
		}
		run = 0
	}
	most := look{broken: breaks > 0}
	for n, times := range counts {
		if n > 0 && (most.edges == 0 || times > counts[most.edges]) {
			most.edges = n
		}
	}
	if len(dashes) > 0 {
		most.shortest, most.other = slices.Min(dashes), slices.Max(dashes)
	}
	return most
}

// CheckFile does what Check does with a picture that another program has written, as PNG.
func CheckFile(t testing.TB, path string, s *scene.Sheet) {
	t.Helper()
	f, err := os.Open(path)
	require.NoError(t, err)
	defer f.Close()
	img, err := png.Decode(f)
	require.NoError(t, err)
	Check(t, img, s)
}

// Check fails where a picture of a whole sheet, seen as a photocopy, does not tell
// every two roles apart, along the runs and in the conductor key.
func Check(t testing.TB, img image.Image, s *scene.Sheet) {
	t.Helper()
	all := lines(s)
	c := copyOf(img, s)
	found := map[scene.Role]bool{}
	looks := make([]look, len(all))
	for i, l := range all {
		looks[i] = c.look(l)
		found[l.role] = true
		require.Positive(t, looks[i].edges, "%s is not seen", l.name)
	}
	for _, r := range roles {
		require.True(t, found[r], "no line of %s on the sheet", r)
	}
	for i, a := range all {
		for j, b := range all[:i] {
			if a.role != b.role {
				assert.True(t, looks[i].told(looks[j]), "%s (%s): %s; %s (%s): %s", a.name, a.role, looks[i], b.name, b.role, looks[j])
			} else {
				assert.False(t, looks[i].told(looks[j]), "%s and %s are both %s: %s; %s", a.name, b.name, a.role, looks[i], looks[j])
			}
		}
	}
}

// Size is a sheet's width and height in pixels at DPI.
func Size(s *scene.Sheet) (w, h int) {
	mm := s.Scale / scene.UnitsPerMM
	px := func(units float64) int { return int(math.Round(units * mm / 25.4 * DPI)) }
	return px(s.Paper.Max.X - s.Paper.Min.X), px(s.Paper.Max.Y - s.Paper.Min.Y)
}
