package components

// History is the line of documents that a person made, each with the label of
// the step that led to it. It has no limit.
type History struct {
	steps []step
	now   int
}

type step struct {
	label string
	doc   *Document
}

// NewHistory starts at a document.
func NewHistory(d *Document) *History { return &History{steps: []step{{doc: d}}} }

// Now is the present document.
func (h *History) Now() *Document { return h.steps[h.now].doc }

// Do applies the edits as one step. What had been undone is dropped.
func (h *History) Do(label string, edits ...Edit) error {
	next, err := h.Now().Apply(edits...)
	if err != nil {
		return err
	}
	h.steps = append(h.steps[:h.now+1:h.now+1], step{label, next})
	h.now++
	return nil
}

// Undo steps back and tells the label of the step taken back; ok is false at the
// beginning.
func (h *History) Undo() (label string, ok bool) {
	if h.now == 0 {
		return "", false
	}
	label = h.steps[h.now].label
	h.now--
	return label, true
}

// Redo steps forward again.
func (h *History) Redo() (label string, ok bool) {
	if h.now == len(h.steps)-1 {
		return "", false
	}
	h.now++
	return h.steps[h.now].label, true
}

// UndoLabel and RedoLabel name the steps that Undo and Redo would take, "" for none.
func (h *History) UndoLabel() string {
	if h.now == 0 {
		return ""
	}
	return h.steps[h.now].label
}

// RedoLabel names the step that Redo would take, "" for none.
func (h *History) RedoLabel() string {
	if h.now == len(h.steps)-1 {
		return ""
	}
	return h.steps[h.now+1].label
}
