package sheet

import (
	"bytes"
	"fmt"
	"time"

	"codeberg.org/go-pdf/fpdf"
	"golang.org/x/image/font/gofont/gobold"
	"golang.org/x/image/font/gofont/goregular"
)

// The measures of the page, in millimetres and points.
const (
	pageWidth  = 210.0
	margin     = 14.0
	bottom     = 18.0
	inside     = pageWidth - 2*margin
	lineHeight = 4.4
	textSize   = 8.5
)

// PDF writes the sheet as A4 pages. Equal sheets of equal time give equal bytes.
func (s *Sheet) PDF(language string, at time.Time) ([]byte, error) {
	s = s.drawable()
	w := &writer{Fpdf: fpdf.New("P", "mm", "A4", ""), sheet: s}
	w.SetCreationDate(at)
	w.SetModificationDate(at)
	w.SetCatalogSort(true)
	w.SetLang(language)
	w.SetTitle(s.Title, true)
	w.AddUTF8FontFromBytes("go", "", goregular.TTF)
	w.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	w.SetMargins(margin, margin, margin)
	w.SetAutoPageBreak(false, bottom)
	w.AliasNbPages("{pages}")
	w.SetFooterFunc(w.footer)
	w.AddPage()
	w.head()
	for _, section := range s.Sections {
		w.section(section)
	}
	w.signs()
	var out bytes.Buffer
	if err := w.Output(&out); err != nil {
		return nil, fmt.Errorf("PDF of %s: %w", s.Title, err)
	}
	return out.Bytes(), nil
}

// writer writes a sheet from top to bottom.
type writer struct {
	*fpdf.Fpdf
	sheet *Sheet
}

func (w *writer) footer() {
	w.SetY(-bottom + 3)
	w.SetFont("go", "", 7)
	w.MultiCell(inside, 3.2, w.sheet.Foot, "T", "L", false)
	w.SetXY(margin, -8)
	w.CellFormat(inside, 4, fmt.Sprintf("%s   %d / {pages}", w.sheet.Title, w.PageNo()), "", 0, "R", false, 0, "")
}

// room begins a new page when there is none for so much.
func (w *writer) room(height float64) {
	_, page := w.GetPageSize()
	if w.GetY()+height > page-bottom {
		w.AddPage()
	}
}

func (w *writer) head() {
	w.SetFont("go", "B", 15)
	w.MultiCell(inside, 7, w.sheet.Title, "", "L", false)
	w.SetFont("go", "B", 13)
	w.MultiCell(inside, 8, w.sheet.Outcome, "1", "C", false)
	w.Ln(2)
	for _, p := range w.sheet.Head {
		w.row([]string{p.Name, p.Value}, []float64{1, 3}, rowStyle{})
	}
	w.Ln(2)
}

func (w *writer) section(s Section) {
	w.room(5 * lineHeight)
	w.Ln(1.5)
	w.SetFont("go", "B", 10)
	w.MultiCell(inside, 5.5, s.Title, "", "L", false)
	if s.Table != nil && len(s.Table.Rows) > 0 {
		w.row(s.Table.Head, s.Table.Shares, rowStyle{strong: true, under: true})
		for _, r := range s.Table.Rows {
			w.row(r.Cells, s.Table.Shares, rowStyle{strong: r.Strong, struck: r.Struck})
		}
	}
	for _, note := range s.Notes {
		w.row([]string{note}, []float64{1}, rowStyle{})
	}
}

type rowStyle struct{ strong, struck, under bool }

// row writes cells side by side; each is broken into as many lines as it needs.
func (w *writer) row(cells []string, shares []float64, style rowStyle) {
	weight := ""
	if style.strong {
		weight = "B"
	}
	w.SetFont("go", weight, textSize)
	total := 0.0
	for _, s := range shares {
		total += s
	}
	lines, most := make([][]string, len(cells)), 1
	for i, cell := range cells {
		lines[i] = w.broken(cell, inside*shares[i]/total-2)
		most = max(most, len(lines[i]))
	}
	w.room(float64(most) * lineHeight)
	top, x := w.GetY(), margin
	for i := range cells {
		width := inside * shares[i] / total
		for n, line := range lines[i] {
			y := top + float64(n)*lineHeight
			w.SetXY(x, y)
			w.CellFormat(width, lineHeight, line, "", 0, "L", false, 0, "")
			if style.struck && line != "" {
				w.Line(x+1, y+lineHeight/2, x+1+w.GetStringWidth(line), y+lineHeight/2)
			}
		}
		x += width
	}
	w.SetXY(margin, top+float64(most)*lineHeight)
	if style.under {
		w.Line(margin, w.GetY(), margin+inside, w.GetY())
	}
}

// broken breaks a text into lines of a width; a word that is wider is broken, too.
func (w *writer) broken(text string, width float64) []string {
	if text == "" {
		return []string{""}
	}
	var lines []string
	for _, line := range w.SplitText(text, width) {
		lines = append(lines, w.narrow(line, width)...)
	}
	return lines
}

// narrow breaks one line that has no blank to break it at.
func (w *writer) narrow(line string, width float64) (lines []string) {
	runes := []rune(line)
	for len(runes) > 0 {
		n := len(runes)
		for n > 1 && w.GetStringWidth(string(runes[:n])) > width {
			n--
		}
		lines, runes = append(lines, string(runes[:n])), runes[n:]
	}
	return lines
}

// signs are lines to sign on.
func (w *writer) signs() {
	w.room(24)
	w.Ln(14)
	y := w.GetY()
	width := inside / float64(len(w.sheet.Signs))
	for i, sign := range w.sheet.Signs {
		x := margin + float64(i)*width
		w.Line(x, y, x+width-8, y)
		w.SetXY(x, y+1)
		w.SetFont("go", "", textSize)
		w.CellFormat(width-8, lineHeight, sign, "", 0, "L", false, 0, "")
	}
}
