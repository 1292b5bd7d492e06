package components

import (
	"cmp"
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"
)

// Reading is what a meter or an eye found at one item of the checklist. The
// baseline is the as-built figure that later ones are held against.
type Reading struct {
	Item     string // "D02", or "L04/BAT1" for one of several places
	Value    string // a number, or yes or no
	Unit     string // of a number: "V"
	Date     string // 2026-11-25
	By       string
	Note     string
	Baseline bool
}

// Number is the value of a reading that is a number.
func (r Reading) Number() (float64, bool) {
	if strings.Trim(r.Value, "+-.0123456789eE") != "" {
		return 0, false // no other base, no word
	}
	v, err := strconv.ParseFloat(r.Value, 64)
	return v, err == nil && !math.IsInf(v, 0)
}

// Check says what is wrong with a reading, in words for the person who wrote it.
func (r Reading) Check() error {
	if strings.TrimSpace(r.Item) == "" {
		return fmt.Errorf("a reading needs its item, as in D02")
	}
	if _, number := r.Number(); !number && r.Value != "yes" && r.Value != "no" {
		return fmt.Errorf("the reading of %s is %q: want a number as in 13.2, or yes or no", r.Item, r.Value)
	}
	return nil
}

// same tells whether two readings stand for one: the baseline of an item, or its
// reading of a day.
func (r Reading) same(o Reading) bool {
	return r.Item == o.Item && r.Baseline == o.Baseline && (r.Baseline || r.Date == o.Date)
}

func compareReadings(a, b Reading) int {
	first := func(r Reading) int {
		if r.Baseline {
			return 0
		}
		return 1
	}
	return cmp.Or(CompareIDs(ID(a.Item), ID(b.Item)), cmp.Compare(first(a), first(b)), cmp.Compare(a.Date, b.Date))
}

// Record keeps a reading. It takes the place of the baseline of its item where it
// is one, else of the reading of the same day.
type Record struct{ Reading }

// Unrecord takes back the reading that Record would replace.
type Unrecord struct{ Reading }

func (e Record) String() string   { return "Record " + e.Item }
func (e Unrecord) String() string { return "Take back the reading of " + e.Item }

func (e Record) apply(d *Document) error {
	if err := e.Reading.Check(); err != nil {
		return err
	}
	if v, number := e.Number(); number {
		e.Value = strconv.FormatFloat(v+0, 'f', -1, 64)
	}
	kept := slices.DeleteFunc(slices.Clone(d.Readings), e.Reading.same)
	at, _ := slices.BinarySearchFunc(kept, e.Reading, compareReadings)
	d.Readings = slices.Insert(kept, at, e.Reading)
	return nil
}

func (e Unrecord) apply(d *Document) error {
	d.Readings = slices.DeleteFunc(slices.Clone(d.Readings), e.Reading.same)
	return nil
}

// ReadingOf is the latest reading of an item, and its baseline; nil where there is
// none. The baseline is the latest where there is no other.
func (d *Document) ReadingOf(item string) (latest, baseline *Reading) {
	for i := range d.Readings {
		r := &d.Readings[i]
		if r.Item != item {
			continue
		}
		latest = r
		if r.Baseline {
			baseline = r
		}
	}
	return latest, baseline
}
