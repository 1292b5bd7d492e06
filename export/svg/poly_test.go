package svg

import (
	"bytes"
	"testing"

	svgo "github.com/ajstarks/svgo/float"
	"github.com/stretchr/testify/assert"

	"rigline/export/scene"
)

// Lines are written as the library writes them.
func TestPolyIsTheLibrarys(t *testing.T) {
	attributes := []string{attr("stroke", "#1b1b1f"), attr("stroke-width", "2.8")}
	for _, pts := range [][]scene.Pt{
		{{X: 0, Y: 0}, {X: 10, Y: 20}},
		{{X: -10, Y: 0.005}, {X: 1e7, Y: -0.001}, {X: 12.345, Y: 99.999}},
		{{X: 3.14159, Y: -2.71828}},
	} {
		for _, decimals := range []int{0, 2, 3} {
			var ours, theirs bytes.Buffer
			p := &page{SVG: svgo.New(&ours)}
			p.Decimals = decimals
			p.poly("polyline", pts, attributes)
			p.poly("polygon", pts, nil)
			library := svgo.New(&theirs)
			library.Decimals = decimals
			xs, ys := coords(pts)
			library.Polyline(xs, ys, attributes...)
			library.Polygon(xs, ys)
			assert.Equal(t, theirs.String(), ours.String())
		}
	}
}

func coords(pts []scene.Pt) (xs, ys []float64) {
	xs, ys = make([]float64, len(pts)), make([]float64, len(pts))
	for i, q := range pts {
		xs[i], ys[i] = q.X, q.Y
	}
	return xs, ys
}
