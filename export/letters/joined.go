package letters

import (
	"strings"
	"sync"
	"unicode"

	"golang.org/x/text/unicode/norm"
)

// forms are the shapes of an Arabic letter: alone, at the end of a word, at its
// beginning, within it. A letter that does not join the next has the first two.
type forms []rune

// joining reads the shapes from the Unicode blocks of Arabic presentation forms,
// where those of a letter follow each other in that order and each is compatible
// with the letter itself. pairs are lam with an alef, alone and at the end.
var joining = sync.OnceValues(func() (map[rune]forms, map[[2]rune]forms) {
	const kazakhMaksura, kazakhMaksuraMiddle = 0xfbe8, 0xfbe9 // apart from the letter's other two shapes
	letters, pairs := map[rune]forms{}, map[[2]rune]forms{}
	for _, block := range [][2]rune{{0xfb50, 0xfbff}, {0xfe80, 0xfefc}} {
		for r := block[0]; r <= block[1]; r++ {
			if r == kazakhMaksura || r == kazakhMaksuraMiddle {
				continue
			}
			switch base := []rune(norm.NFKC.String(string(r))); {
			case len(base) == 1 && base[0] != r:
				letters[base[0]] = append(letters[base[0]], r)
			case len(base) == 2 && base[0] == lam && r >= 0xfef5:
				pair := [2]rune{base[0], base[1]}
				pairs[pair] = append(pairs[pair], r)
			}
		}
	}
	return letters, pairs
})

const (
	lam    = 'ل'
	tatwil = 'ـ' // a dash within a word, to which both sides join
)

// joined gives Arabic letters the shapes in which they join their neighbours, in
// reading order. Vowel marks stand between letters without parting them.
func joined(text string) string {
	if !strings.ContainsFunc(text, func(r rune) bool { return r >= 0x0600 && r <= 0x077f }) {
		return text
	}
	letters, pairs := joining()
	all := []rune(norm.NFC.String(text))
	neighbour := func(i, step int) rune {
		for i += step; i >= 0 && i < len(all); i += step {
			if !unicode.Is(unicode.Mn, all[i]) {
				return all[i]
			}
		}
		return 0
	}
	onward := func(r rune) bool { return r == tatwil || len(letters[r]) == 4 }  // joins the next
	backward := func(r rune) bool { return r == tatwil || len(letters[r]) > 1 } // joins the one before
	var out strings.Builder
	for i := 0; i < len(all); i++ {
		r := all[i]
		own := letters[r]
		before := onward(neighbour(i, -1))
		if i+1 < len(all) {
			if pair := pairs[[2]rune{r, all[i+1]}]; pair != nil {
				out.WriteRune(shape(pair, before, false))
				i++
				continue
			}
		}
		if own == nil {
			out.WriteRune(r)
			continue
		}
		out.WriteRune(shape(own, before, backward(neighbour(i, 1))))
	}
	return out.String()
}

func shape(f forms, before, after bool) rune {
	i := 0
	switch {
	case before && after && len(f) == 4:
		i = 3
	case after && len(f) == 4:
		i = 2
	case before && len(f) > 1:
		i = 1
	}
	return f[i]
}
