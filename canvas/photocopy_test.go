package canvas

import (
	"image"
	"image/color"
	"image/draw"
	"testing"

	"rigline/export/photocopy"
	"rigline/export/scene"
)

// A photocopy of what the board shows tells every conductor's role.
func TestPhotocopyTellsTheRoles(t *testing.T) {
	s := scene.Draw(photocopy.Document(t), scene.Options{Frame: true})
	w, h := photocopy.Size(s)
	img := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(img, img.Rect, image.NewUniform(color.White), image.Point{}, draw.Src)
	p := newPainter(img, s.Paper.Min, float64(w)/(s.Paper.Max.X-s.Paper.Min.X), scene.OnWhite)
	for _, sh := range s.Shapes {
		p.shape(sh)
	}
	photocopy.Check(t, img, s)
}
