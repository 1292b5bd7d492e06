package checklist

import (
	"fmt"
	"math"
)

// Kind is how an item is answered.
type Kind int

// A check is answered by yes or no, a record by a number that is only kept, a band
// by a number that is held against limits.
const (
	Check Kind = iota
	Record
	Band
)

// Expect is what a reading is held against. It passes from Lo to Hi and warns from
// WarnLo to WarnHi; an open side is infinite.
type Expect struct {
	Kind           Kind
	Lo, Hi         float64
	WarnLo, WarnHi float64
	Unit           string
	Figure         float64  // what the drawing predicts, where HasFigure
	HasFigure      bool     //
	Working        []string // how the figure was found
	Found          string   // what a check is to find, where that is one word: "dead"
	Missing        string   // why nothing is expected, where a figure of the drawing lacks: then it is a Record
}

// near passes within a tolerance of a figure and warns within twice that.
func near(figure, tol float64, unit string, working ...string) Expect {
	return Expect{Kind: Band, Lo: figure - tol, Hi: figure + tol, WarnLo: figure - 2*tol, WarnHi: figure + 2*tol, Unit: unit, Figure: figure, HasFigure: true, Working: working}
}

// atMost passes up to a limit and warns up to another.
func atMost(figure, limit, warn float64, unit string, working ...string) Expect {
	return Expect{Kind: Band, Lo: math.Inf(-1), Hi: limit, WarnLo: math.Inf(-1), WarnHi: math.Max(limit, warn), Unit: unit, Figure: figure, HasFigure: true, Working: working}
}

// atLeast passes from a limit and warns from another.
func atLeast(figure, limit, warn float64, unit string, working ...string) Expect {
	return Expect{Kind: Band, Lo: limit, Hi: math.Inf(1), WarnLo: math.Min(limit, warn), WarnHi: math.Inf(1), Unit: unit, Figure: figure, HasFigure: true, Working: working}
}

// unknown keeps the number and says why nothing is expected of it.
func unknown(unit, format string, args ...any) Expect {
	return Expect{Kind: Record, Unit: unit, Missing: fmt.Sprintf(format, args...)}
}

// times is the expectation with its limits multiplied.
func (e Expect) times(k float64) Expect {
	e.Lo, e.Hi, e.WarnLo, e.WarnHi = e.Lo*k, e.Hi*k, e.WarnLo*k, e.WarnHi*k
	return e
}

// metric is the expectation in millimetres where it is in inches.
func (e Expect) metric() Expect {
	const millimetres = 25.4
	if e.Unit != "inch" {
		return e
	}
	e = e.times(millimetres)
	e.Unit, e.Figure = "mm", e.Figure*millimetres
	for _, v := range []*float64{&e.Lo, &e.Hi, &e.WarnLo, &e.WarnHi} {
		*v = math.Round(*v)
	}
	return e
}
