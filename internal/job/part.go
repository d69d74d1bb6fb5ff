package job

import (
	"strings"

	"gauged/internal/evaluate/procedure"
)

// PartNamed is the part that somebody means who says what is marked on it, where
// one grade of the family has that mark.
func (j *Job) PartNamed(place procedure.Place, said string) string {
	family, ok := j.Families[place.Parts]
	if !ok || said == "" {
		return said
	}
	if _, ok := family.Grade(said); ok {
		return said
	}
	named := said
	for _, g := range family.Grades {
		switch {
		case !strings.EqualFold(g.Mark, said):
		case named != said:
			return said // two grades have that mark
		default:
			named = g.Part
		}
	}
	return named
}
