package procedure

import (
	"errors"
	"slices"
	"strings"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
)

// Family is the graded parts that a job can choose from.
type Family struct {
	ID     string
	Title  string
	Source string
	Unit   gauge.Unit
	Hash   string  // SHA-256 of the file
	Grades []Grade // in rising order of thickness, or of the gap that they serve

	slips []error // in the steps of the thicknesses

	// For tables that choose by the gap: their rows are written in whole steps,
	// and a gap is rounded half to even to a step before it is looked up. 0: no rounding.
	RowStep gauge.Length
	// A gap at the border of two rows belongs to the upper one.
	BorderUpper bool

	// For tables that choose by marks: the steps whose marks are looked at, and
	// the part numbers that are right for each combination; none is forbidden.
	CodeSteps []string
	CodeRows  map[string][]string // by CodeKey

	Chart *formula.Table // that gives the part by measurements; its cells are indices of Grades. nil: none
}

// Parts gives the part families of an evaluation by their id; nil for one that
// it does not have. A Family is one of them, Families are several.
type Parts interface{ Family(id string) *Family }

// Family returns the family itself when the id is its own.
func (f *Family) Family(id string) *Family {
	if f == nil || f.ID != id {
		return nil
	}
	return f
}

// Families are part families by their id.
type Families map[string]*Family

// Family returns the family of that id; nil for none.
func (f Families) Family(id string) *Family { return f[id] }

// Grade is one graded part.
type Grade struct {
	Part      string        `json:"part"`
	Mark      string        `json:"mark,omitempty"`
	Thickness *gauge.Length `json:"thickness,omitempty"` // nominal
	Tolerance *gauge.Length `json:"tolerance,omitempty"` // either way
	Plus      *gauge.Length `json:"plus,omitempty"`      // where it is not the same both ways, instead of Tolerance
	Minus     *gauge.Length `json:"minus,omitempty"`
	Serves    Limits        `json:"serves,omitzero"` // gaps, for a table
	Stock     *int          `json:"stock,omitempty"` // pieces; nil when not counted
}

// Grade returns the grade with that part number.
func (f *Family) Grade(part string) (Grade, bool) {
	for _, g := range f.Grades {
		if g.Part == part {
			return g, true
		}
	}
	return Grade{}, false
}

// CheckSteps points out steps between thicknesses that stand alone among others,
// as a slip of the pen or a missing row leaves them, each with file:line:column.
// A family whose steps are printed so says steps: uneven.
func (f *Family) CheckSteps() error { return errors.Join(f.slips...) }

// Thinnest is the thickness of the thinnest grade.
func (f *Family) Thinnest() gauge.Length { return *f.Grades[0].Thickness }

// Out reports whether the part is known not to be in stock.
func (g Grade) Out() bool { return g.Stock != nil && *g.Stock == 0 }

// Without returns the family with the given pieces taken out of its stock.
func (f *Family) Without(taken []Grade) *Family {
	if f == nil || len(taken) == 0 {
		return f
	}
	left := *f
	left.Grades = slices.Clone(f.Grades)
	for _, piece := range taken {
		for i := range left.Grades {
			if g := &left.Grades[i]; g.Part == piece.Part && g.Stock != nil && *g.Stock > 0 {
				stock := *g.Stock - 1
				g.Stock = &stock
			}
		}
	}
	return &left
}

// Answers of a table, or of a place where it is allowed, that are no part
// number.
const (
	NoPart = "none"     // nothing lies there: a part without thickness
	AsItIs = "as it is" // what was found is accepted, and nothing is fitted
)

// ToSize stands for the number of a part that is made for its unit.
const ToSize = "made to size"

// NoGrade is no part at all, as a grade without thickness.
func NoGrade() Grade {
	var nothing gauge.Length
	return Grade{Part: NoPart, Thickness: &nothing}
}

// PiecesOf are the pieces that a part's name names, one grade or several with a
// plus between them, and the names that are none of the family's.
func (f *Family) PiecesOf(name string) (parts []Grade, unknown []string) {
	if g, ok := f.Grade(name); ok {
		return []Grade{g}, nil
	}
	for _, piece := range PieceNames(name) {
		if g, ok := f.Grade(piece); ok {
			parts = append(parts, g)
		} else {
			unknown = append(unknown, piece)
		}
	}
	return parts, unknown
}

// PieceNames are the part numbers of the pieces of a pack, with or without spaces around
// the plus between them.
func PieceNames(pack string) []string {
	names := strings.Split(pack, "+")
	for i, name := range names {
		names[i] = strings.TrimSpace(name)
	}
	return names
}

// CodeKey joins marks, in the order of CodeSteps, to the key of a row of CodeRows.
func CodeKey(marks []string) string { return strings.Join(marks, "\x00") }

// MayPreload reports whether a place may be for a preload: it states a
// thickness, or a gap from which a preload is taken.
func (p *Place) MayPreload() bool {
	return p.Thickness != nil || p.Gap != nil && p.Word == WordPreload && p.Choose.Aim != AimTable
}

// AllKnown reports whether the thickness of every piece is known.
func AllKnown(pieces []Grade) bool {
	return !slices.ContainsFunc(pieces, func(g Grade) bool { return g.Thickness == nil })
}
