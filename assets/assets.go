// Package assets holds the bytes that come with the program: the letters of the
// sheet and the cautions. It has no logic.
package assets

import "embed"

// FontName is the family of the sheet's letters.
const FontName = "Liberation Sans"

// FontRegular and FontBold are the sheet's letters as TrueType; FurtherRegular and
// FurtherBold are letters of other scripts and signs that those lack; Han and Hangul
// those of one script each, as Script gives those that have to be shaped. FontLicence,
// FurtherLicence and ScriptsLicence are the licences they come under.
var (
	//go:embed font/sheet-regular.ttf
	FontRegular []byte
	//go:embed font/sheet-bold.ttf
	FontBold []byte
	//go:embed font/further-regular.ttf
	FurtherRegular []byte
	//go:embed font/further-bold.ttf
	FurtherBold []byte
	//go:embed font/han.ttf
	Han []byte
	//go:embed font/hangul.ttf
	Hangul []byte
	//go:embed font/LICENSE.txt
	FontLicence string
	//go:embed font/LICENSE-further.txt
	FurtherLicence string
	//go:embed font/LICENSE-scripts.txt
	ScriptsLicence string
)

//go:embed font/bengali.ttf font/devanagari.ttf font/gujarati.ttf font/gurmukhi.ttf font/kannada.ttf font/khmer.ttf
//go:embed font/lao.ttf font/malayalam.ttf font/oriya.ttf font/sinhala.ttf font/tamil.ttf font/telugu.ttf font/thai.ttf
var scripts embed.FS

// Script is the letters of one script as TrueType, by its name: "thai". It panics where
// there are none.
func Script(name string) []byte {
	ttf, err := scripts.ReadFile("font/" + name + ".ttf")
	if err != nil {
		panic(err)
	}
	return ttf
}

// Cautions is what the window and every export say before anything else, a
// caution a line.
//
//go:embed cautions.txt
var Cautions string
