package canvas

import (
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"time"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/storage"
	"fyne.io/fyne/v2/test"
	"fyne.io/fyne/v2/widget"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"rigline/canvas/session"
	"rigline/components"
	"rigline/projects"
	"rigline/rules/checks"
)

func TestSavingTakesWhatIsStillBeingTyped(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	path := filepath.Join(t.TempDir(), "rig.yaml")
	require.NoError(t, h.s.Save(path))
	e := h.field("Name")
	h.win.Canvas().Focus(e)
	test.Type(e, "Main fuse")
	assert.False(t, h.s.Dirty(), "not taken yet")
	h.run(h.command("Save"))
	doc, _, err := projects.Load(path)
	require.NoError(t, err)
	p, _ := doc.Part("F1")
	assert.Equal(t, "Main fuse", p.Name)
	test.Type(e, " of the bank")
	e.TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Equal(t, "Main fuse", e.Text, "escape puts the text back")
	assert.False(t, h.s.Dirty())
}

func TestSaveAsAsksBeforeItWritesOver(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	dir := t.TempDir()
	h.saveTo(filepath.Join(dir, "rig"), nil)
	assert.FileExists(t, filepath.Join(dir, "rig.yaml"), "with an ending of its own")
	assert.False(t, h.s.Dirty())
	other := filepath.Join(dir, "other.yaml")
	require.NoError(t, os.WriteFile(other, []byte("precious"), 0o644))
	h.saveTo(other, nil)
	h.press("Cancel")
	kept, err := os.ReadFile(other)
	require.NoError(t, err)
	assert.Equal(t, "precious", string(kept), "untouched until the person says so")
	h.saveTo(other, nil)
	h.press("Write over it")
	assert.Equal(t, other, h.s.Path())
}

func TestTheDrawingStaysAsItIsUnderADialog(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.run(h.command("Keys and pointer"))
	require.NotNil(t, h.win.Canvas().Overlays().Top())
	h.run(h.command("Undo"))
	h.run(h.command("Delete"))
	h.typedKey(&fyne.KeyEvent{Name: fyne.KeyDelete})
	assert.Len(t, h.s.Doc().Parts(), 1)
	h.typedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Nil(t, h.win.Canvas().Overlays().Top(), "escape closes it")
	h.run(h.command("Delete"))
	assert.Empty(t, h.s.Doc().Parts())
}

func TestLostWorkIsOffered(t *testing.T) {
	dir := t.TempDir()
	gone := exec.Command("true")
	require.NoError(t, gone.Run())
	head := fmt.Sprintf(`# unsaved {"project":"","pid":%d,"time":"2026-05-01T10:00:00Z"}`, gone.Process.Pid)
	s, _ := projects.FindSample("van-12v")
	copied := filepath.Join(dir, "x-1.unsaved")
	require.NoError(t, os.WriteFile(copied, []byte(head+"\n"+string(s.Data)), 0o600))
	h := newHand(t)
	h.KeepBackups(dir)
	h.press("Ask again later")
	assert.FileExists(t, copied)
	h.backups.offer()
	h.press("Take it up again")
	assert.Equal(t, "Van, 12 V", h.s.Doc().Title)
	assert.True(t, h.s.Dirty())
	h.backups.drop()
	files, err := os.ReadDir(dir)
	require.NoError(t, err)
	assert.Empty(t, files, "once given up or saved nothing is left")
}

func TestAFewQuestionsDrawAFirstSheet(t *testing.T) {
	h := newHand(t)
	h.run(h.command("New"))
	h.press("Answer a few questions")
	h.press("Draw it")
	h.await("drawn", func() bool { return len(h.s.Doc().Parts()) > 0 })
	h.settle()
	assert.Greater(t, len(h.s.Doc().Parts()), 20)
	bat, ok := h.s.Doc().Part("BAT1")
	require.True(t, ok)
	assert.InDelta(t, 12.8, bat.Figure("nominal_v").Value, 0)
	report, _ := h.s.Report()
	assert.Zero(t, report.Counts().Danger)
	assert.NotZero(t, report.Counts().Unchecked, "what nobody told is not taken for good")
}

// Every question may be left open, and then the sheet says so.
func TestEveryQuestionMayStayOpen(t *testing.T) {
	h := newHand(t)
	chosen := make([]int, len(questions))
	for i, q := range questions {
		last := len(q.answers) - 1
		require.Equal(t, notYet, q.answers[last].words, q.ask)
		chosen[i] = last
	}
	h.drawFirst(chosen, nil, nil)
	h.await("drawn", func() bool { return len(h.s.Doc().Parts()) > 0 })
	h.settle()
	require.Len(t, h.s.Doc().Notes, 1)
	_, asked := answersOf(chosen)
	for i, q := range questions {
		assert.Equal(t, asked[i], strings.Contains(h.s.Doc().Notes[0].Text, q.short), q.ask)
	}
	report, _ := h.s.Report()
	assert.Zero(t, report.Counts().Danger)
}

func TestLeavingUnsavedWorkAsksFirst(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.run(h.command("New"))
	require.NotNil(t, h.win.Canvas().Overlays().Top())
	h.press("Cancel")
	assert.Len(t, h.s.Doc().Parts(), 1)
	h.run(h.command("New"))
	h.press("Leave unsaved")
	h.press("Van, 12 V")
	assert.Greater(t, len(h.s.Doc().Parts()), 10)
	assert.False(t, h.s.Dirty())
}

// A question is answered from the keyboard: the return key takes the safe way on,
// or the way back where there is none.
func TestAQuestionIsAnsweredByTheReturnKey(t *testing.T) {
	h := newHand(t)
	said := ""
	saying := func(name string, importance widget.Importance) way {
		return way{name, importance, func() { said = name }}
	}
	press := func() {
		f := h.win.Canvas().Focused()
		require.NotNil(t, f)
		f.TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
		assert.Nil(t, h.win.Canvas().Overlays().Top())
	}
	h.ask("Save first?", "", saying("Cancel", widget.MediumImportance), saying("Leave", widget.DangerImportance), saying("Save", widget.HighImportance))
	press()
	assert.Equal(t, "Save", said)
	h.ask("Write over it?", "", saying("Cancel", widget.MediumImportance), saying("Write over it", widget.DangerImportance))
	press()
	assert.Equal(t, "Cancel", said)
	h.ask("Save first?", "", saying("Cancel", widget.MediumImportance))
	h.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyEscape})
	assert.Nil(t, h.win.Canvas().Overlays().Top(), "and the escape key leaves it")
}

func TestAFaultyFileListsItsFaults(t *testing.T) {
	h := newHand(t)
	path := filepath.Join(t.TempDir(), "broken.yaml")
	require.NoError(t, os.WriteFile(path, []byte("format: rigline/1\ntitle: x\nparts:\n  - {id: BAT1, kind: batery, at: [0, 0]}\nruns: []\n"), 0o644))
	h.open(path)
	top := h.win.Canvas().Overlays().Top()
	require.NotNil(t, top)
	found := false
	for _, o := range test.LaidOutObjects(top) {
		if l, ok := o.(*widget.Label); ok && strings.Contains(l.Text, `broken.yaml:4:`) && strings.Contains(l.Text, "battery") {
			found = true
		}
	}
	assert.True(t, found, "the line of the fault, and the word that was meant")
	assert.Empty(t, h.s.Doc().Parts())
}

func TestCautionsOnceAtFirstStart(t *testing.T) {
	a := test.NewTempApp(t)
	late := make(chan func(), 64)
	e := New(a, func(f func()) { late <- f }, checks.All)
	t.Cleanup(e.win.Close)
	e.Start("")
	require.NotNil(t, e.win.Canvas().Overlays().Top(), "shown at the first start")
	h := &hand{Editor: e, t: t, late: late}
	h.press("I have read them")
	assert.True(t, a.Preferences().Bool(prefCautions))
	assert.Nil(t, e.win.Canvas().Overlays().Top())
	e.Start("")
	assert.Nil(t, e.win.Canvas().Overlays().Top(), "and not again")
	e.run(e.command("Cautions"))
	assert.NotNil(t, e.win.Canvas().Overlays().Top(), "but always under Help")
	e.win.Canvas().Focused().TypedKey(&fyne.KeyEvent{Name: fyne.KeyReturn})
	assert.Nil(t, e.win.Canvas().Overlays().Top(), "the keyboard is at the button")
}

// A file that another program wrote is noticed when the window comes to the front,
// and before it is written over.
func TestAFileChangedOutsideIsNoticed(t *testing.T) {
	h := newHand(t)
	path := filepath.Join(t.TempDir(), "rig.yaml")
	van, _ := projects.FindSample("camper-van")
	require.NoError(t, projects.Save(path, van.Document()))
	h.open(path)
	h.settle()
	other := func(title string) {
		next, err := h.s.Doc().Apply(func() components.Edit { e := h.s.Doc().Project(); e.Title = title; return e }())
		require.NoError(t, err)
		require.NoError(t, projects.Save(path, next))
	}
	h.cameBack()
	assert.Nil(t, h.win.Canvas().Overlays().Top(), "nothing has changed")
	other("By another program")
	h.cameBack()
	h.press("Read it again")
	assert.Equal(t, "By another program", h.s.Doc().Title)
	h.settle()

	require.NoError(t, h.s.Do("Name it", func() components.Edit { e := h.s.Doc().Project(); e.Title = "Mine"; return e }()))
	other("Once more by another")
	h.cameBack()
	assert.Contains(t, h.s.Told().Text, "was changed outside", "unsaved work is not taken away")
	h.save(nil)
	h.press("Cancel")
	read := func() string { doc, _, err := projects.Load(path); require.NoError(t, err); return doc.Title }
	assert.Equal(t, "Once more by another", read())
	h.save(nil)
	h.press("Write over it")
	assert.Equal(t, "Mine", read())
	assert.False(t, h.s.Dirty())
}

// A project file that is dropped on the window is opened, after unsaved work was
// asked about; anything else is not.
func TestAFileIsOpenedByDropping(t *testing.T) {
	h := newHand(t)
	path := filepath.Join(t.TempDir(), "van.yaml")
	van, _ := projects.FindSample("camper-van")
	require.NoError(t, projects.Save(path, van.Document()))
	h.dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI("/tmp/picture.png")})
	assert.Empty(t, h.s.Doc().Parts())
	assert.Equal(t, session.Wrong, h.s.Told().Mood)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.dropped(fyne.Position{}, []fyne.URI{storage.NewFileURI(path)})
	h.press("Leave unsaved")
	assert.Equal(t, path, h.s.Path())
	assert.Greater(t, len(h.s.Doc().Parts()), 10)
	assert.Equal(t, path, h.app.Preferences().StringList(prefRecent)[0], "and is the first of the files of late")
	assert.Equal(t, path, h.recent.ChildMenu.Items[0].Label)
	h.settle()
}

// A rig that cannot be written says why in plain words, leaves what is there whole
// and offers another place.
func TestASaveThatFailsSaysWhy(t *testing.T) {
	h := newHand(t)
	h.s.ZoomTo(1)
	h.fromShelf("fuse", h.s.View.ToSheet(300, 300))
	h.Editor.write(filepath.Join(t.TempDir(), "gone", "rig.yaml"), nil)
	said := ""
	for _, o := range test.LaidOutObjects(h.win.Canvas().Overlays().Top()) {
		if l, ok := o.(*widget.Label); ok {
			said += l.Text
		}
	}
	assert.Contains(t, said, "its folder is gone. Save in another one.")
	assert.True(t, h.s.Dirty())
	h.press("Save as")
	assert.NotNil(t, h.win.Canvas().Overlays().Top(), "where to")
	assert.Contains(t, whyNot(fmt.Errorf("save: %w", syscall.ENOSPC)), "the disk is full")
}

// A file of late that is gone is told as such, and offered no more.
func TestAFileThatIsGoneIsForgotten(t *testing.T) {
	h := newHand(t)
	path := filepath.Join(t.TempDir(), "van.yaml")
	h.remember(path)
	require.Equal(t, path, h.recent.ChildMenu.Items[0].Label)
	h.open(path)
	h.press("Close")
	assert.Empty(t, h.app.Preferences().StringList(prefRecent))
	assert.True(t, h.recent.Disabled)
}

func TestAWholePathMayStandInPlaceOfAName(t *testing.T) {
	dir := t.TempDir()
	assert.Equal(t, filepath.Join(dir, "rig.yaml"), placed(dir, " rig.yaml "))
	assert.Equal(t, filepath.Join(dir, "in", "rig.yaml"), placed(dir, filepath.Join("in", "rig.yaml")))
	assert.Equal(t, filepath.Join(dir, "rig.yaml"), placed("elsewhere", filepath.Join(dir, "rig.yaml")))
}

// A hand that never rests is backed up too.
func TestAHandThatNeverRestsIsBackedUp(t *testing.T) {
	h := newHand(t)
	dir := t.TempDir()
	h.KeepBackups(dir)
	s, _ := projects.FindSample("van-12v")
	h.s.Start(s.Document())
	h.s.Select("BAT1")
	by := 1
	h.await("backed up", func() bool {
		time.Sleep(pause / 10)
		by = -by
		h.s.Nudge(by, 0) // another edit before the last has rested
		files, err := os.ReadDir(dir)
		require.NoError(t, err)
		return len(files) > 0
	})
}
