package table

import (
	"bufio"
	"bytes"
	"errors"
	"io"

	"gauged/internal/gauge"
)

// source gives the lines of a file.
type source struct {
	r    *bufio.Reader
	line int // number of the line that was read last
}

func newSource(content io.Reader) *source { return &source{r: bufio.NewReaderSize(content, 16<<10)} }

// begin passes over a byte order mark, and names files that are no text in UTF-8.
func (s *source) begin() error {
	head, err := s.r.Peek(4)
	switch {
	case err != nil && !errors.Is(err, io.EOF):
		return &fault{gauge.Say("file.unreadable", gauge.Because("why", err)), err}
	case bytes.HasPrefix(head, []byte("\xef\xbb\xbf")):
		_, _ = s.r.Discard(3) // it is in the buffer
	case bytes.HasPrefix(head, []byte("\xff\xfe")), bytes.HasPrefix(head, []byte("\xfe\xff")), bytes.IndexByte(head, 0) >= 0 && bytes.IndexByte(head, 0) < 2:
		return wrong("file.utf16")
	case bytes.HasPrefix(head, []byte("PK\x03\x04")), bytes.HasPrefix(head, []byte("\xd0\xcf\x11\xe0")):
		return wrong("file.workbook")
	}
	return nil
}

var errTooLong = errors.New("too long")

// next appends the next line to a record, with its end. A line that makes the record
// longer than allowed is read to its end and left out.
func (s *source) next(record []byte, allowed int) ([]byte, error) {
	begun, tooLong := false, false
	for {
		part, err := s.r.ReadSlice('\n')
		if len(part) > 0 && !begun {
			begun = true
			s.line++
		}
		if tooLong = tooLong || len(record)+len(part) > allowed; !tooLong {
			record = append(record, part...)
		}
		switch {
		case errors.Is(err, bufio.ErrBufferFull):
		case errors.Is(err, io.EOF) && begun, err == nil:
			if tooLong {
				return record, errTooLong
			}
			return record, nil
		default:
			return record, err
		}
	}
}
