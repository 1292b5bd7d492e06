package checklist

import (
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"rigline/components"
)

// Verdict is what a reading comes to.
type Verdict int

// The verdicts. Kept is a number of which nothing is expected.
const (
	Unread Verdict = iota
	Pass
	Warn
	Fail
	Kept
)

func (v Verdict) String() string {
	return [...]string{"not read", "pass", "borderline", "fail", "recorded"}[v]
}

// Judgment is a verdict with its reason.
type Judgment struct {
	Verdict Verdict
	Says    string // the reading held against what is expected
	Means   string // what a wrong reading means, "" where it passes
}

// Value is a reading as it is kept: a number in the item's unit, or yes or no. The
// unit may stand behind the number. It is an error where the text is neither, and
// where another unit stands there.
func Value(item Item, text string) (string, error) {
	text = strings.TrimSpace(text)
	if item.Expect.Kind == Check {
		switch strings.ToLower(text) {
		case "yes", "y", "ok":
			return "yes", nil
		case "no", "n":
			return "no", nil
		}
		return "", fmt.Errorf("%s is %q: want yes or no", item.Key(), text)
	}
	number, unit := text, ""
	if i := strings.LastIndexAny(text, "0123456789."); i >= 0 {
		number, unit = text[:i+1], strings.TrimSpace(text[i+1:])
	}
	v, ok := components.Reading{Value: number}.Number()
	if !ok {
		return "", fmt.Errorf("%s is %q: want a number%s", item.Key(), text, inUnit(item.Expect.Unit))
	}
	if unit != "" && unit != item.Expect.Unit {
		return "", fmt.Errorf("%s is %q: want it%s", item.Key(), text, inUnit(item.Expect.Unit))
	}
	return strconv.FormatFloat(v+0, 'f', -1, 64), nil
}

func inUnit(unit string) string {
	if unit == "" {
		return ""
	}
	return " in " + unit
}

// monitor is the meter whose sign is the maker's choice: most show what is drawn with a
// minus.
const monitor = "battery monitor"

// Judge holds a reading against what its item expects.
func Judge(item Item, text string) (Judgment, error) {
	if strings.TrimSpace(text) == "" {
		return Judgment{}, nil
	}
	value, err := Value(item, text)
	if err != nil {
		return Judgment{}, err
	}
	e := item.Expect
	switch {
	case e.Kind == Check && value == "yes":
		return Judgment{Verdict: Pass, Says: "yes"}, nil
	case e.Kind == Check:
		return Judgment{Verdict: Fail, Says: "no", Means: item.Wrong}, nil
	}
	v, err := strconv.ParseFloat(value, 64)
	if err != nil {
		return Judgment{}, errors.New(item.Key() + ": " + err.Error())
	}
	says := strings.TrimSpace(value + " " + e.Unit)
	if e.Kind == Record {
		return Judgment{Verdict: Kept, Says: says}, nil
	}
	says += ", expected " + e.String()
	if infinite(e.Lo) || item.Meter == monitor { // probes or a clamp the other way round, a monitor that counts discharge as less than nothing
		v = math.Abs(v)
	}
	switch {
	case v >= e.Lo && v <= e.Hi:
		return Judgment{Verdict: Pass, Says: says}, nil
	case v >= e.WarnLo && v <= e.WarnHi:
		return Judgment{Verdict: Warn, Says: says, Means: item.Wrong}, nil
	}
	return Judgment{Verdict: Fail, Says: says, Means: item.Wrong}, nil
}

// String is what is expected, for people: "12.8 to 13.6 V".
func (e Expect) String() string {
	unit := ""
	if e.Unit != "" {
		unit = " " + e.Unit
	}
	switch {
	case e.Kind == Check && e.Found != "":
		return "yes: " + e.Found
	case e.Kind == Check:
		return "yes"
	case e.Kind == Record && e.Missing != "":
		return "write it down: " + e.Missing
	case e.Kind == Record:
		return "write it down"
	case infinite(e.Lo):
		return "at most " + plain(e.Hi) + unit
	case infinite(e.Hi):
		return "at least " + plain(e.Lo) + unit
	}
	return plain(e.Lo) + " to " + plain(e.Hi) + unit
}

// Written is the same with what is borderline, for whoever judges a reading on paper.
func (e Expect) Written() string {
	text := e.String()
	if e.Kind != Band {
		return text
	}
	wider := func(warn, limit float64) bool { return !infinite(warn) && plain(warn) != plain(limit) }
	switch {
	case infinite(e.Lo):
		if wider(e.WarnHi, e.Hi) {
			text += "; borderline to " + plain(e.WarnHi)
		}
	case infinite(e.Hi):
		if wider(e.WarnLo, e.Lo) {
			text += "; borderline from " + plain(e.WarnLo)
		}
	case wider(e.WarnLo, e.Lo) || wider(e.WarnHi, e.Hi):
		text += "; borderline " + plain(e.WarnLo) + " to " + plain(e.WarnHi)
	}
	return text
}

// plain prints a limit in four figures.
func plain(v float64) string {
	if v == 0 {
		return "0"
	}
	digits := 3 - int(math.Floor(math.Log10(math.Abs(v))))
	scale := math.Pow10(max(0, digits))
	return strconv.FormatFloat(math.Round(v*scale)/scale+0, 'f', -1, 64)
}

// Against tells how a number stands to the baseline of its item; "" where either
// is none.
func Against(latest, baseline *components.Reading) string {
	if latest == nil || baseline == nil || latest == baseline {
		return ""
	}
	was, ok := baseline.Number()
	now, okNow := latest.Number()
	if !ok || !okNow {
		return ""
	}
	text := fmt.Sprintf("baseline %s", baseline.Value)
	if was != 0 {
		text += fmt.Sprintf(", %+.0f %%", 100*(now-was)/math.Abs(was))
	}
	return text
}
