package session

import (
	"strings"
	"time"

	"rigline/components"
	"rigline/export/checklist"
	"rigline/export/solved"
)

// Checklist works the rig's checklist out behind the session, with the readings
// that were taken and what they come to.
func (s *Session) Checklist(done func(doc *components.Document, all []checklist.Result)) {
	doc := s.Doc()
	go func() {
		items := checklist.Items(solved.Of(doc))
		s.post(func() { done(doc, checklist.Results(items, doc)) })
	}()
}

// Read keeps what was read at an item, or takes the latest reading back where the
// text is empty. The first reading of an item is its baseline; until the day is
// over it may still be put right.
func (s *Session) Read(item checklist.Item, text, by string) error {
	key := item.Key()
	latest, _ := s.Doc().ReadingOf(key)
	if strings.TrimSpace(text) == "" {
		if latest == nil {
			return nil
		}
		e := components.Unrecord{Reading: *latest}
		return s.Do(e.String(), e)
	}
	value, err := checklist.Value(item, text)
	if err != nil {
		return err
	}
	r := components.Reading{Item: key, Value: value, Date: time.Now().Format(time.DateOnly), By: by}
	if item.Expect.Kind != checklist.Check {
		r.Unit = item.Expect.Unit
	}
	if latest != nil {
		if latest.Value == r.Value && latest.Date == r.Date {
			return nil
		}
		r.Note = latest.Note
		if latest.Date != r.Date {
			r.Note = ""
		}
	}
	r.Baseline = latest == nil || latest.Baseline && latest.Date == r.Date
	e := components.Record{Reading: r}
	return s.Do(e.String(), e)
}

// ReadingBy is who took the last reading, or who drew the rig.
func (s *Session) ReadingBy() string {
	readings := s.Doc().Readings
	for i := len(readings) - 1; i >= 0; i-- {
		if readings[i].By != "" {
			return readings[i].By
		}
	}
	return s.Doc().Rig.DrawnBy
}
