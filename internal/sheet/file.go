package sheet

import (
	"context"
	"fmt"
	"time"

	"gauged/internal/words"
)

// File is a sheet as a file.
type File struct {
	Name, Type string // Type is its media type
	Content    []byte
}

// JobPDF is the sheet of a job as PDF.
func JobPDF(ctx context.Context, st Station, of House, id uint64, w words.Words, at time.Time) (File, error) {
	in, err := Gather(ctx, st, of.Station, id)
	if err != nil {
		return File{}, err
	}
	s, err := New(in, w)
	return s.file(fmt.Sprintf("job-%d", id), w, at, err)
}

// CheckPDF is the sheet of a check as PDF; 0 is the newest that counts.
func CheckPDF(ctx context.Context, st Station, of House, gaugeID string, seq uint64, w words.Words, at time.Time) (File, error) {
	in, err := GatherCheck(ctx, st, of, gaugeID, seq)
	if err != nil {
		return File{}, err
	}
	s, err := NewCheck(in, w)
	return s.file(fmt.Sprintf("check-%d", in.Check.Seq), w, at, err)
}

func (s *Sheet) file(name string, w words.Words, at time.Time, err error) (File, error) {
	if err != nil {
		return File{}, err
	}
	content, err := s.PDF(string(w.Language()), at)
	return File{name + ".pdf", "application/pdf", content}, err
}
