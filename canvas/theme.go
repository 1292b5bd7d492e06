package canvas

import (
	"image/color"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/theme"
)

// Look is what the person chose for the window's brightness.
type Look string

// The looks.
const (
	AsSystem Look = ""
	Light    Look = "light"
	Dark     Look = "dark"
)

// quiet is the window's theme: two greys, one accent, small type, little padding.
type quiet struct {
	fyne.Theme
	look Look
}

// NewTheme is the window's theme in a look.
func NewTheme(look Look) fyne.Theme { return &quiet{theme.DefaultTheme(), look} }

func hex(v uint32) color.NRGBA {
	return color.NRGBA{uint8(v >> 16), uint8(v >> 8), uint8(v), 0xff}
}

// inks are the colours that differ from the toolkit's, light and dark.
var inks = map[fyne.ThemeColorName][2]color.Color{
	theme.ColorNameBackground:          {hex(0xf4f5f6), hex(0x212327)},
	theme.ColorNameMenuBackground:      {hex(0xfbfbfc), hex(0x2a2d32)},
	theme.ColorNameOverlayBackground:   {hex(0xfbfbfc), hex(0x2a2d32)},
	theme.ColorNameHeaderBackground:    {hex(0xe9ebee), hex(0x2a2d32)},
	theme.ColorNameInputBackground:     {hex(0xffffff), hex(0x17191c)},
	theme.ColorNameInputBorder:         {hex(0xc3c8ce), hex(0x44484f)},
	theme.ColorNameButton:              {hex(0xe6e8eb), hex(0x33373d)},
	theme.ColorNameSeparator:           {hex(0xd5d9dd), hex(0x3a3e44)},
	theme.ColorNameForeground:          {hex(0x1b1c1f), hex(0xe8e8ea)},
	theme.ColorNamePlaceHolder:         {hex(0x676d75), hex(0x9aa1a9)},
	theme.ColorNameDisabled:            {hex(0x9aa0a7), hex(0x6b7078)},
	theme.ColorNamePrimary:             {hex(0x2b62a8), hex(0x7fb0ee)},
	theme.ColorNameForegroundOnPrimary: {hex(0xffffff), hex(0x10141a)},
	theme.ColorNameFocus:               {color.NRGBA{0x08, 0x20, 0x48, 0x58}, color.NRGBA{0xe0, 0xec, 0xff, 0x60}}, // seen on a button of the accent's colour too
	theme.ColorNameSelection:           {color.NRGBA{0x2b, 0x62, 0xa8, 0x40}, color.NRGBA{0x7f, 0xb0, 0xee, 0x40}},
	theme.ColorNameHover:               {color.NRGBA{0x20, 0x28, 0x30, 0x14}, color.NRGBA{0xff, 0xff, 0xff, 0x18}},
	theme.ColorNameError:               {hex(0xa4161a), hex(0xff8a8d)},
	theme.ColorNameWarning:             {hex(0x9a5b00), hex(0xf0b04a)},
	theme.ColorNameSuccess:             {hex(0x1d6b3a), hex(0x66c08a)},
}

// Color gives a colour in the chosen look.
func (q *quiet) Color(name fyne.ThemeColorName, v fyne.ThemeVariant) color.Color {
	switch q.look {
	case Light:
		v = theme.VariantLight
	case Dark:
		v = theme.VariantDark
	}
	if pair, ok := inks[name]; ok {
		if v == theme.VariantDark {
			return pair[1]
		}
		return pair[0]
	}
	return q.Theme.Color(name, v)
}

// sizes are smaller than the toolkit's: a desk tool shows much at once.
var sizes = map[fyne.ThemeSizeName]float32{
	theme.SizeNameText:            13,
	theme.SizeNameCaptionText:     11.5,
	theme.SizeNameSubHeadingText:  15,
	theme.SizeNameHeadingText:     18,
	theme.SizeNamePadding:         3,
	theme.SizeNameInnerPadding:    5,
	theme.SizeNameLineSpacing:     3,
	theme.SizeNameInlineIcon:      18,
	theme.SizeNameInputRadius:     0,
	theme.SizeNameSelectionRadius: 0,
	theme.SizeNameScrollBar:       10,
}

// Size gives a size.
func (q *quiet) Size(name fyne.ThemeSizeName) float32 {
	if v, ok := sizes[name]; ok {
		return v
	}
	return q.Theme.Size(name)
}

// loud is the ground of the readiness line while there is a danger.
func loud(dark bool) color.Color {
	if dark {
		return hex(0x5c1d20)
	}
	return hex(0xf6d5d4)
}
