package lists

import (
	"archive/zip"
	"bytes"
	"cmp"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/xuri/excelize/v2"
)

// Sheet is one sheet of a workbook: its name, its columns' heads and everything
// under them.
type Sheet struct {
	Name    string // up to 31 letters
	Records [][]string
}

// Sheet is the table as a sheet of a workbook, with what it belongs to under it,
// the same records as its CSV has.
func (t Table) Sheet(about About) Sheet { return Sheet{Name: t.Title, Records: t.records(about)} }

// XLSX writes a workbook. Every text is stored as text, so that nothing in it can
// run; what is a number in the CSV is a number here. The same sheets give the same
// bytes: the dates inside are the project's, or a fixed one.
func XLSX(w io.Writer, sheets []Sheet, about About) error {
	if err := xlsx(w, sheets, about); err != nil {
		return fmt.Errorf("write the workbook: %w", err)
	}
	return nil
}

func xlsx(w io.Writer, sheets []Sheet, about About) error {
	f := excelize.NewFile()
	defer f.Close()
	book := &book{File: f, formats: map[int]int{}}
	var err error
	if book.head, err = f.NewStyle(&excelize.Style{Font: &excelize.Font{Bold: true}, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}); err != nil {
		return err
	}
	if book.text, err = f.NewStyle(&excelize.Style{NumFmt: 49, Alignment: &excelize.Alignment{WrapText: true, Vertical: "top"}}); err != nil { // 49: text
		return err
	}
	for i, s := range sheets {
		if i == 0 {
			err = f.SetSheetName(f.GetSheetName(0), s.Name)
		} else {
			_, err = f.NewSheet(s.Name)
		}
		if err != nil {
			return err
		}
		if err := book.sheet(s); err != nil {
			return fmt.Errorf("%s: %w", s.Name, err)
		}
	}
	stamp := "2000-01-01T00:00:00Z"
	if day, err := time.Parse("2006-01-02", about.Date); err == nil {
		stamp = day.Format(time.RFC3339)
	}
	if err := f.SetDocProps(&excelize.DocProperties{Created: stamp, Modified: stamp, Creator: "rigline", LastModifiedBy: "rigline", Title: Plain(about.Title), Revision: "1"}); err != nil {
		return err
	}
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		return err
	}
	return repack(w, b.Bytes())
}

// repack writes the files of a workbook in one order and without a clock.
func repack(w io.Writer, data []byte) error {
	in, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return err
	}
	slices.SortFunc(in.File, func(a, b *zip.File) int { return cmp.Compare(a.Name, b.Name) }) // [Content_Types].xml comes first
	out := zip.NewWriter(w)
	for _, f := range in.File {
		from, err := f.Open()
		if err != nil {
			return err
		}
		to, err := out.CreateHeader(&zip.FileHeader{Name: f.Name, Method: zip.Deflate})
		if err == nil {
			_, err = io.Copy(to, from)
		}
		if err = errors.Join(err, from.Close()); err != nil {
			return err
		}
	}
	return out.Close()
}

// book is a workbook in the making.
type book struct {
	*excelize.File
	head, text int
	formats    map[int]int // style by decimals
}

// sheet fills one sheet row by row.
func (b *book) sheet(s Sheet) error {
	w, err := b.NewStreamWriter(s.Name)
	if err != nil {
		return err
	}
	for col, width := range widths(s.Records) {
		if err := w.SetColWidth(col+1, col+1, width); err != nil {
			return err
		}
	}
	if err := w.SetPanes(&excelize.Panes{Freeze: true, YSplit: 1, TopLeftCell: "A2", ActivePane: "bottomLeft"}); err != nil {
		return err
	}
	for i, rec := range s.Records {
		cells := make([]any, len(rec))
		for k, cell := range rec {
			if cells[k], err = b.cell(Safe(Plain(cell)), i == 0); err != nil {
				return err
			}
		}
		if err := w.SetRow("A"+strconv.Itoa(i+1), cells); err != nil {
			return err
		}
	}
	return w.Flush()
}

// canonical is a number that prints again as it is written.
var canonical = regexp.MustCompile(`^-?(0|[1-9][0-9]{0,11})(\.[0-9]{1,6})?$`)

func (b *book) cell(text string, head bool) (any, error) {
	switch {
	case head:
		return excelize.Cell{StyleID: b.head, Value: text}, nil
	case text == "":
		return nil, nil
	case !canonical.MatchString(text):
		return excelize.Cell{StyleID: b.text, Value: text}, nil
	}
	v, err := strconv.ParseFloat(text, 64)
	if err != nil {
		return nil, err
	}
	_, fraction, _ := strings.Cut(text, ".")
	style, err := b.format(len(fraction))
	return excelize.Cell{StyleID: style, Value: v}, err
}

// format is the style of a number with so many decimals.
func (b *book) format(decimals int) (int, error) {
	if id, ok := b.formats[decimals]; ok {
		return id, nil
	}
	code := "0"
	if decimals > 0 {
		code += "." + strings.Repeat("0", decimals)
	}
	id, err := b.NewStyle(&excelize.Style{CustomNumFmt: &code, Alignment: &excelize.Alignment{Vertical: "top"}})
	b.formats[decimals] = id
	return id, err
}

// widths fits each column to what is in it, within what can be read on a screen.
func widths(records [][]string) []float64 {
	var all []float64
	for _, rec := range records {
		if len(rec) > 0 && rec[0] == "about" {
			continue
		}
		for k, cell := range rec {
			if k >= len(all) {
				all = append(all, 8)
			}
			all[k] = min(60, max(all[k], float64(len([]rune(cell)))+2))
		}
	}
	return all
}
