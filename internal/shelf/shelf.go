// Package shelf looks after the shop's procedures and part families as files:
// it reads them again, and writes a new version of one of them. The files stay
// the truth; what is put in force is what stands in them.
package shelf

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"strings"

	"gauged/internal/access"
	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/library"
	"gauged/internal/shopfile"
	"gauged/internal/station"
)

// Shelf is the files of one station.
type Shelf struct {
	station *station.Station
	read    func(context.Context) (*library.Library, error)
	one     chan struct{} // holds one: one check or change at a time
}

// New returns the shelf of a station. read reads all files of the station's
// library from disk.
func New(s *station.Station, read func(context.Context) (*library.Library, error)) *Shelf {
	return &Shelf{station: s, read: read, one: make(chan struct{}, 1)}
}

// turn waits for the checks before, as long as ctx lasts. After done the next has
// its turn.
func (s *Shelf) turn(ctx context.Context) error {
	if err := ctx.Err(); err != nil {
		return err
	}
	select {
	case s.one <- struct{}{}:
		return nil
	case <-ctx.Done():
		return ctx.Err()
	}
}

func (s *Shelf) done() { <-s.one }

// Check reads the library in force with another content of one file. The error
// lists every problem of every file; it is that of ctx once ctx has ended.
func (s *Shelf) Check(ctx context.Context, kind, id string, content []byte) (*library.Library, error) {
	if err := s.turn(ctx); err != nil {
		return nil, err
	}
	defer s.done()
	return s.station.Library().With(ctx.Err, kind, id, content)
}

// errNone is the answer of a station that has no files.
var errNone = gauge.Refused("refusal.files.none")

// Reload reads all files again and puts what has changed in force for jobs that
// are started from now on. When one of them has a problem, nothing changes and
// the error lists every problem.
func (s *Shelf) Reload(ctx context.Context) ([]library.File, error) {
	if err := s.turn(ctx); err != nil {
		return nil, err
	}
	if len(s.station.Library().Procedures()) == 0 {
		s.done()
		return nil, errNone
	}
	return s.released(ctx, s.read)
}

// releasedBy is who has files read again, where that is known; who wrote them is not.
func releasedBy(ctx context.Context) string {
	if c, _ := access.From(ctx); c.Name != "" {
		return c.Name
	}
	return station.ByFile
}

// Renew does the same with what read reads, now and from now on, once that is without
// problems: a station's configuration may name other files than it did.
func (s *Shelf) Renew(ctx context.Context, read func(context.Context) (*library.Library, error)) ([]library.File, error) {
	if err := s.turn(ctx); err != nil {
		return nil, err
	}
	return s.released(ctx, func(ctx context.Context) (*library.Library, error) {
		next, err := read(ctx)
		if err == nil {
			s.read = read
		}
		return next, err
	})
}

// released reads files and puts them in force. A disk that does not answer holds up
// nobody longer than ctx lasts; the turn is held until it has answered.
func (s *Shelf) released(ctx context.Context, read func(context.Context) (*library.Library, error)) ([]library.File, error) {
	type outcome struct {
		changed []library.File
		err     error
	}
	answer := make(chan outcome, 1)
	go func() {
		defer s.done()
		var o outcome
		defer func() {
			if p := recover(); p != nil {
				o.err = gauge.Refused("refusal.files.fault", gauge.Text("fault", fmt.Sprint(p)))
			}
			answer <- o
		}()
		next, err := read(ctx)
		if err != nil {
			o.err = gauge.Refused("refusal.files.problems", gauge.Because("problems", err))
			return
		}
		o.changed, o.err = s.station.Release(ctx, next, releasedBy(ctx), "")
	}()
	select {
	case o := <-answer:
		return o.changed, o.err
	case <-ctx.Done():
		return nil, ctx.Err()
	}
}

// Edited reports whether a file in force has another content on disk by now, its tables
// included. What cannot be read, or not while ctx lasts, is not known to be another.
func (s *Shelf) Edited(ctx context.Context, f library.File) bool {
	edited := make(chan bool, 1)
	go func() {
		content, err := shopfile.ReadFile(f.Path)
		if err == nil {
			content, err = formula.WithTables(f.Path, content, shopfile.ReadFile)
		}
		edited <- err == nil && !bytes.Equal(content, f.Content)
	}()
	select {
	case is := <-edited:
		return is
	case <-ctx.Done():
		return false
	}
}

// Revision is a new version of a file.
type Revision struct {
	Kind, ID string // which file: station.FileProcedure or FileParts, and the id that it gives itself
	Base     string // hash of the version that was edited
	Content  []byte
	By       string // who made it
	Reason   string // why
}

// Save writes a new version into the shop's file and puts it in force. It is
// refused when the file has changed since the edit began, on disk or in force,
// and when the files do not go together with it; then nothing has changed.
func (s *Shelf) Save(ctx context.Context, r Revision) error {
	if err := s.turn(ctx); err != nil {
		return err
	}
	defer s.done()
	main, err := s.withTables(&r)
	if err != nil {
		return err
	}
	at, next, err := s.prepared(ctx, r)
	if err != nil {
		return err
	}
	if err := writable(at.Path); err != nil {
		return err
	}
	before, err := shopfile.ReadFile(at.Path)
	if err != nil {
		return gauge.Refused("refusal.revision.cannot-read", gauge.Because("why", err))
	}
	inForce, err := formula.WithTables(at.Path, before, shopfile.ReadFile)
	if err != nil {
		return gauge.Refused("refusal.revision.cannot-read", gauge.Because("why", err))
	}
	if !bytes.Equal(inForce, at.Content) {
		return gauge.Refused("refusal.revision.changed-on-disk", gauge.Text("path", at.Path))
	}
	if err := replace(at.Path, main); err != nil {
		return cannotWrite(err)
	}
	// From here on it is done or undone, whoever still waits for the answer.
	if _, err := s.station.Release(context.WithoutCancel(ctx), next, strings.TrimSpace(r.By), strings.TrimSpace(r.Reason)); err != nil {
		if undo := replace(at.Path, before); undo != nil {
			err = errors.Join(err, fmt.Errorf("the file has the new version all the same: %w", undo))
		}
		return fmt.Errorf("store the new version: %w", err)
	}
	return nil
}

// withTables is the file of a revision, without the tables that lie in files of their
// own beside it, which are not written: those of the revision must be as they are there.
func (s *Shelf) withTables(r *Revision) (main []byte, err error) {
	main, tables := shopfile.Split(r.Content)
	at, err := s.station.Library().File(r.Kind, r.ID)
	if err != nil || len(tables) == 0 {
		return main, nil // what is wrong is told where all of a revision is checked
	}
	whole, err := formula.WithTables(at.Path, main, shopfile.ReadFile)
	if err != nil {
		return nil, gauge.Refused("refusal.revision.cannot-read", gauge.Because("why", err))
	}
	if !bytes.Equal(unixLines(whole), unixLines(r.Content)) {
		return nil, gauge.Refused("refusal.revision.tables-beside", gauge.Text("path", at.Path))
	}
	r.Content = whole
	return main, nil
}

// unixLines are lines that end as those of a form do not.
func unixLines(text []byte) []byte { return bytes.ReplaceAll(text, []byte("\r\n"), []byte("\n")) }

// prepared checks all of a revision but the disk.
func (s *Shelf) prepared(ctx context.Context, r Revision) (library.File, *library.Library, error) {
	files := s.station.Library()
	if len(files.Procedures()) == 0 {
		return library.File{}, nil, errNone
	}
	at, err := files.File(r.Kind, r.ID)
	switch {
	case err != nil:
		return at, nil, err
	case strings.TrimSpace(r.By) == "" || strings.TrimSpace(r.By) == station.ByFile:
		return at, nil, gauge.WrongInput("refusal.revision.who")
	case strings.TrimSpace(r.Reason) == "":
		return at, nil, gauge.WrongInput("refusal.revision.why")
	case at.Hash != r.Base:
		return at, nil, gauge.Refused("refusal.revision.overtaken", gauge.Text("id", r.ID))
	case bytes.Equal(at.Content, r.Content):
		return at, nil, gauge.WrongInput("refusal.revision.unchanged")
	}
	next, err := files.With(ctx.Err, r.Kind, r.ID, r.Content)
	if err != nil {
		return at, nil, gauge.WrongInput("refusal.revision.problems", gauge.Because("problems", err))
	}
	return at, next, nil
}

// Writable reports why the file of a procedure or part family cannot be
// written; nil when it can.
func (s *Shelf) Writable(kind, id string) error {
	at, err := s.station.Library().File(kind, id)
	if err != nil {
		return err
	}
	return writable(at.Path)
}
