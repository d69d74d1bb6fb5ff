package devices

import (
	"bufio"
	"bytes"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"slices"
	"time"

	"gauged/internal/gauge"
)

// RecordingFormat is the version of the format of recordings.
const RecordingFormat = 1

// longestRecordingLine bounds one line of a recording, in bytes.
const longestRecordingLine = 1 << 20

// Recording is what went over the line of one gauge. As a file it is JSON
// lines: a header, then one object for each chunk as it was read or written
// and for each mark. Times are microseconds since the start.
type Recording struct {
	Header  RecordingHeader
	Entries []RecordingEntry
}

// RecordingHeader is the first line of a recording.
type RecordingHeader struct {
	Format  int        `json:"recording"` // RecordingFormat
	Layout  string     `json:"layout"`
	Unit    gauge.Unit `json:"unit"` // of the gauge's definition; empty when the frames carry it
	Remarks string     `json:"remarks,omitempty"`
}

// Direction says which way a chunk went.
type Direction string

// The directions, as the host sees them.
const (
	In  Direction = "in"
	Out Direction = "out"
)

// Mark is something that happened to the line besides bytes.
type Mark string

// The marks.
const (
	MarkUnplug Mark = "unplug"
	MarkReplug Mark = "replug"
	MarkNote   Mark = "note"
)

// RecordingEntry is a chunk, with a direction and bytes, or a mark.
type RecordingEntry struct {
	At    time.Duration // since the start
	Dir   Direction
	Bytes []byte
	Mark  Mark
	Text  string // of a mark
}

// entryLine is an entry as it stands in the file.
type entryLine struct {
	Micros *int64    `json:"us"`
	Dir    Direction `json:"dir,omitempty"`
	Hex    string    `json:"hex,omitempty"`
	Mark   Mark      `json:"mark,omitempty"`
	Text   string    `json:"text,omitempty"`
}

// ReadRecording reads a recording strictly: unknown keys, times that step back
// and entries that are neither chunk nor mark are errors with file and line.
func ReadRecording(file string, r io.Reader) (*Recording, error) {
	lines := bufio.NewScanner(r)
	lines.Buffer(nil, longestRecordingLine)
	rec := &Recording{}
	number := 0
	for lines.Scan() {
		number++
		err := rec.add(number, lines.Bytes())
		if err != nil {
			return nil, fmt.Errorf("%s:%d: %w", file, number, err)
		}
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("%s:%d: %w", file, number+1, err)
	}
	if number == 0 {
		return nil, fmt.Errorf("%s:1: the recording is empty", file)
	}
	return rec, nil
}

func (rec *Recording) add(number int, line []byte) error {
	if number == 1 {
		if err := strictJSON(line, &rec.Header); err != nil {
			return fmt.Errorf("header: %w", err)
		}
		if rec.Header.Format != RecordingFormat {
			return fmt.Errorf("the recording has format %d; this program reads %d", rec.Header.Format, RecordingFormat)
		}
		if u := rec.Header.Unit; u.Known() && !slices.Contains(gauge.Sent, u.Kind()) {
			return fmt.Errorf("header: %v is a unit of %v; a gauge sends %s", u, u.Kind(), gauge.SentInWords)
		}
		return nil
	}
	var l entryLine
	if err := strictJSON(line, &l); err != nil {
		return err
	}
	entry, err := l.entry()
	if err != nil {
		return err
	}
	if n := len(rec.Entries); n > 0 && entry.At < rec.Entries[n-1].At {
		return errors.New("the time steps back")
	}
	rec.Entries = append(rec.Entries, entry)
	return nil
}

func (l entryLine) entry() (RecordingEntry, error) {
	var e RecordingEntry
	if l.Micros == nil || *l.Micros < 0 || *l.Micros > int64(365*24*time.Hour/time.Microsecond) {
		return e, errors.New(`"us" must be microseconds since the start`)
	}
	e = RecordingEntry{At: time.Duration(*l.Micros) * time.Microsecond, Dir: l.Dir, Mark: l.Mark, Text: l.Text}
	if l.Mark != "" {
		known := l.Mark == MarkUnplug || l.Mark == MarkReplug || l.Mark == MarkNote
		if !known || l.Dir != "" || l.Hex != "" {
			return e, errors.New("a mark is unplug, replug or note, without dir and hex")
		}
		return e, nil
	}
	raw, err := hex.DecodeString(l.Hex)
	if err != nil || len(raw) == 0 || l.Dir != In && l.Dir != Out || l.Text != "" {
		return e, errors.New(`a chunk has "dir" in or out, and its bytes in "hex"`)
	}
	e.Bytes = raw
	return e, nil
}

func strictJSON(line []byte, into any) error {
	d := json.NewDecoder(bytes.NewReader(line))
	d.DisallowUnknownFields()
	if err := d.Decode(into); err != nil {
		return err
	}
	if _, err := d.Token(); !errors.Is(err, io.EOF) {
		return errors.New("one object per line is needed")
	}
	return nil
}

// RecordingWriter writes a recording line by line.
type RecordingWriter struct {
	w     io.Writer
	start time.Time
}

// NewRecordingWriter writes the header; times count from start.
func NewRecordingWriter(w io.Writer, h RecordingHeader, start time.Time) (*RecordingWriter, error) {
	h.Format = RecordingFormat
	rw := &RecordingWriter{w, start}
	return rw, rw.line(h)
}

// Chunk writes bytes that were read or written at the given time.
func (rw *RecordingWriter) Chunk(at time.Time, dir Direction, raw []byte) error {
	return rw.line(entryLine{Micros: rw.micros(at), Dir: dir, Hex: hex.EncodeToString(raw)})
}

// Mark writes what happened to the line at the given time.
func (rw *RecordingWriter) Mark(at time.Time, mark Mark, text string) error {
	return rw.line(entryLine{Micros: rw.micros(at), Mark: mark, Text: text})
}

func (rw *RecordingWriter) micros(at time.Time) *int64 {
	us := max(0, at.Sub(rw.start).Microseconds())
	return &us
}

func (rw *RecordingWriter) line(v any) error {
	text, err := json.Marshal(v)
	if err != nil {
		return fmt.Errorf("write the recording: %w", err)
	}
	if _, err := rw.w.Write(append(text, '\n')); err != nil {
		return fmt.Errorf("write the recording: %w", err)
	}
	return nil
}
