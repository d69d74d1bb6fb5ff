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
	gap        = 1.0 // at each side of a cell
	hair       = 0.1 // more than widths are rounded by

	aboveTitle, titleHeight = 1.5, 5.5 // of a section
	signsHeight             = 24.0
	underHead               = 0.7 // between the line under a head and the first row
)

// PDF writes the sheet as A4 pages. Equal sheets of equal time give equal bytes.
func (s *Sheet) PDF(language string, at time.Time) ([]byte, error) {
	s = s.drawable()
	w := &writer{Fpdf: fpdf.New("P", "mm", "A4", ""), sheet: s, size: textSize}
	w.SetCreationDate(at)
	w.SetModificationDate(at)
	w.SetCatalogSort(true)
	w.SetLang(language)
	w.SetTitle(s.Title, true)
	w.AddUTF8FontFromBytes("go", "", goregular.TTF)
	w.AddUTF8FontFromBytes("go", "B", gobold.TTF)
	w.SetMargins(margin, margin, margin)
	w.SetCellMargin(gap)
	w.SetAutoPageBreak(false, bottom)
	w.AliasNbPages("{pages}")
	w.SetFooterFunc(w.footer)
	w.AddPage()
	w.head()
	for i, section := range s.Sections {
		if i == len(s.Sections)-1 {
			w.keepSigns(section)
		}
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
	size  float64 // of the letters in rows
}

func (w *writer) footer() {
	w.SetY(-bottom + 3)
	w.SetFont("go", "", 7)
	w.MultiCell(inside, 3.2, w.sheet.Foot, "T", "L", false)
	w.SetXY(margin, -8)
	w.CellFormat(inside, 4, fmt.Sprintf("%s   %d / {pages}", w.sheet.Title, w.PageNo()), "", 0, "R", false, 0, "")
}

// full reports whether there is no room on the page for so much.
func (w *writer) full(height float64) bool {
	_, page := w.GetPageSize()
	return w.GetY()+height > page-bottom
}

// room begins a new page when there is none for so much.
func (w *writer) room(height float64) {
	if w.full(height) {
		w.AddPage()
	}
}

// keepSigns takes the last section to a new page where the lines to sign would stand alone
// on it: nobody signs a page on which there is nothing.
func (w *writer) keepSigns(last Section) {
	height := aboveTitle + titleHeight
	if t := last.Table; t != nil && len(t.Rows) > 0 {
		shares := w.headed(t)
		height += w.height(t.Head, shares, rowStyle{strong: true}) + underHead
		for _, r := range t.Rows {
			height += w.height(r.Cells, shares, rowStyle{strong: r.Strong})
		}
		w.size = textSize
	}
	for _, note := range last.Notes {
		height += w.height([]string{note}, []float64{1}, rowStyle{})
	}
	if !w.full(height) && w.full(height+signsHeight) {
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
	w.Ln(aboveTitle)
	w.SetFont("go", "B", 10)
	w.MultiCell(inside, titleHeight, s.Title, "", "L", false)
	if s.Table != nil && len(s.Table.Rows) > 0 {
		w.table(s.Table)
	}
	for _, note := range s.Notes {
		w.row([]string{note}, []float64{1}, rowStyle{})
	}
}

// table writes rows under their head, which stands on each page again.
func (w *writer) table(t *Table) {
	defer func() { w.size = textSize }()
	shares := w.headed(t)
	head := rowStyle{strong: true, under: true}
	w.row(t.Head, shares, head)
	for _, r := range t.Rows {
		style := rowStyle{strong: r.Strong, struck: r.Struck}
		if w.full(w.height(r.Cells, shares, style)) {
			w.AddPage()
			w.row(t.Head, shares, head)
		}
		w.row(r.Cells, shares, style)
	}
}

type rowStyle struct{ strong, struck, under bool }

// lines are those of each cell of a row, and the most that one has.
func (w *writer) lines(cells []string, shares []float64, style rowStyle) (lines [][]string, most int) {
	w.SetFont("go", weight(style.strong), w.size)
	lines, most = make([][]string, len(cells)), 1
	for i, cell := range cells {
		lines[i] = w.broken(cell, inside*shares[i]/sum(shares))
		most = max(most, len(lines[i]))
	}
	return lines, most
}

func sum(shares []float64) (total float64) {
	for _, s := range shares {
		total += s
	}
	return total
}

// height is that of a row.
func (w *writer) height(cells []string, shares []float64, style rowStyle) float64 {
	_, most := w.lines(cells, shares, style)
	return float64(most) * lineHeight
}

// row writes cells side by side; each is broken into as many lines as it needs.
func (w *writer) row(cells []string, shares []float64, style rowStyle) {
	lines, most := w.lines(cells, shares, style)
	w.room(float64(most) * lineHeight)
	top, x := w.GetY(), margin
	for i := range cells {
		width := inside * shares[i] / sum(shares)
		for n, line := range lines[i] {
			y := top + float64(n)*lineHeight
			w.SetXY(x, y)
			w.CellFormat(width, lineHeight, line, "", 0, "L", false, 0, "")
			if style.struck && line != "" {
				w.Line(x+gap, y+lineHeight/2, x+gap+w.GetStringWidth(line), y+lineHeight/2)
			}
		}
		x += width
	}
	w.SetXY(margin, top+float64(most)*lineHeight)
	if style.under {
		w.Line(margin, w.GetY(), margin+inside, w.GetY())
		w.Ln(underHead)
	}
}

// signs are lines to sign on.
func (w *writer) signs() {
	w.room(signsHeight)
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
