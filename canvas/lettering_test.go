package canvas

import (
	"image"
	"image/color"
	"testing"

	"github.com/stretchr/testify/assert"
)

// drawn is a text as the sheet on screen shows it.
func drawn(text string) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 400, 40))
	letters.draw(img, text, 10, 30, 20, false, false, color.RGBA{A: 255})
	return img
}

// oneByOne is a text drawn letter by letter from the left, as its letters stand.
func oneByOne(text string) *image.RGBA {
	img := image.NewRGBA(image.Rect(0, 0, 400, 40))
	x := 10.0
	for _, r := range text {
		letters.draw(img, string(r), x, 30, 20, false, false, color.RGBA{A: 255})
		x += letters.width(string(r), 20, false)
	}
	return img
}

// The screen shows what paper prints: joined letters of Arabic, Hebrew from its end,
// a name where no letter shows a sign.
func TestScreenShowsWhatPaperPrints(t *testing.T) {
	for text, printed := range map[string]string{
		"בית 12 V": "תיב 12 V",
		"خزان":     "\ufee5\ufe8d\ufeb0\ufea7",
		"🔋 bank":   "[battery] bank",
		"𒀀 bank":   "[U+12000] bank",
	} {
		assert.True(t, string(oneByOne(printed).Pix) == string(drawn(text).Pix), "%q is not drawn as %q", text, printed)
	}
	for _, shown := range []string{"خزان", "电池", "แบตเตอรี่"} {
		assert.False(t, string(drawn(shown).Pix) == string(drawn("").Pix), shown)
	}
}
