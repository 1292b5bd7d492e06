// Package assets holds the bytes that come with the program: the letters of the
// sheet and the cautions. It has no logic.
package assets

import _ "embed"

// FontName is the family of the sheet's letters.
const FontName = "Liberation Sans"

// FontRegular and FontBold are the sheet's letters as TrueType; FontLicence is
// the licence they come under.
var (
	//go:embed font/sheet-regular.ttf
	FontRegular []byte
	//go:embed font/sheet-bold.ttf
	FontBold []byte
	//go:embed font/LICENSE.txt
	FontLicence string
)

// Cautions is what the window and every export say before anything else, a
// caution a line.
//
//go:embed cautions.txt
var Cautions string
