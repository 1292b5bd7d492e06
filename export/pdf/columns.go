package pdf

import (
	"math"
	"slices"
	"strings"

	"rigline/export/lists"
	"rigline/export/scene"
)

// fill gives the first n columns widths that fill the room: each at least as wide as
// its longest word, the rest shared among those that would like more, by how much
// stands in them.
func fill(t lists.Table, n int, h, room float64) (wide []float64, ok bool) {
	const longestWord = 40.0
	must, like, text := make([]float64, n), make([]float64, n), make([]float64, n)
	for c := range n {
		blank := true
		see := func(cell string, bold bool) {
			if cell == "" {
				return
			}
			for line := range strings.SplitSeq(cell, "\n") {
				long := scene.TextWidth(line, h, bold) * 1.03
				like[c], text[c] = max(like[c], long), text[c]+long
			}
			for _, word := range scene.Words(cell) {
				must[c] = max(must[c], min(longestWord, scene.TextWidth(word, h, bold)*1.03))
			}
		}
		see(t.Head[c], true)
		for _, r := range t.Rows {
			blank = blank && r[c] == ""
			see(r[c], false)
		}
		if blank {
			must[c] = max(must[c], leanest)
		}
		must[c] += 2*pad + 0.1
		like[c] = max(min(like[c], 90)+2*pad+0.1, must[c])
	}
	sum := 0.0
	for c := range n {
		sum += must[c]
	}
	wide = slices.Clone(must)
	if sum > room && n <= 2 {
		for c := range n {
			wide[c] = must[c] * room / sum
		}
	}
	spread(wide, like, text, room-sum)
	return wide, sum <= room
}

// spread widens columns with the room that is left, none past what it would like. The
// rows become lowest where a column grows by the root of what stands in it.
func spread(wide, like, text []float64, left float64) {
	for left > 0.01 {
		want := 0.0
		for c := range wide {
			if wide[c] < like[c] {
				want += math.Sqrt(text[c])
			}
		}
		if want == 0 {
			return
		}
		given := 0.0
		for c := range wide {
			if wide[c] < like[c] {
				more := min(like[c]-wide[c], left*math.Sqrt(text[c])/want)
				wide[c], given = wide[c]+more, given+more
			}
		}
		left -= given
	}
}
