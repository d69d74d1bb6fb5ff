package station

import (
	"context"
	"fmt"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/library"
)

// ByFile stands as the author of a version that was found on disk, where
// nobody said who wrote it.
const ByFile = "file"

// Release puts a library in force for the jobs that are started from now on and
// returns the files that changed by it. Who did it and why is stored with the
// versions. Jobs that are open keep theirs.
func (s *Station) Release(ctx context.Context, l *library.Library, by, reason string) ([]library.File, error) {
	var changed []library.File // not read by who has left, while the decision may be under way
	err := s.do(ctx, func(d *draft) error {
		changed = changedFiles(d.library, l)
		var facts []gauge.Fact
		for _, f := range changed {
			known, err := s.o.Store.HasFile(ctx, f.Hash)
			if err != nil {
				return fmt.Errorf("look up %s %s: %w", f.Kind, f.ID, err)
			}
			if !known && !slices.ContainsFunc(d.facts, func(x gauge.Fact) bool { return x.File != nil && x.File.Hash == f.Hash }) {
				facts = append(facts, fileSeen(f, s.o.Now()))
			}
			facts = append(facts, fileReleased(f, by, reason, s.o.Now()))
		}
		for _, f := range facts {
			d.add(f)
		}
		d.library = l
		return nil
	})
	if err != nil {
		return nil, err
	}
	return changed, nil
}

// changedFiles returns the files of next that are new or have another content.
func changedFiles(before, next *library.Library) []library.File {
	var changed []library.File
	for _, f := range next.Files() {
		if was, err := before.File(f.Kind, f.ID); err != nil || was.Hash != f.Hash {
			changed = append(changed, f)
		}
	}
	return changed
}

func fileSeen(f library.File, at time.Time) gauge.Fact {
	return gauge.Fact{File: &gauge.File{Hash: f.Hash, Kind: f.Kind, Name: f.ID, Content: f.Content, Time: at}}
}

func fileReleased(f library.File, by, reason string, at time.Time) gauge.Fact {
	return gauge.Fact{Release: &gauge.Release{Hash: f.Hash, Kind: f.Kind, Name: f.ID, By: by, Reason: reason, Time: at}}
}

// storeFiles puts file versions that the history does not have into it, and
// notes where an older version came back while the station did not run.
func (s *Station) storeFiles(ctx context.Context) error {
	var facts []gauge.Fact
	for _, f := range s.library.Files() {
		versions, err := s.o.Store.FileVersions(ctx, f.Kind, f.ID)
		if err != nil {
			return fmt.Errorf("look up %s %s: %w", f.Kind, f.ID, err)
		}
		known, err := s.o.Store.HasFile(ctx, f.Hash)
		if err != nil {
			return fmt.Errorf("look up %s %s: %w", f.Kind, f.ID, err)
		}
		switch {
		case !known:
			facts = append(facts, fileSeen(f, s.o.Now()))
		case len(versions) == 0 || hashOf(versions[len(versions)-1]) != f.Hash:
			facts = append(facts, fileReleased(f, ByFile, "", s.o.Now()))
		}
	}
	if len(facts) == 0 {
		return nil
	}
	for i := range facts {
		facts[i].Seq = s.o.Store.LastSeq() + 1 + uint64(i)
	}
	if err := s.o.Store.Append(ctx, facts); err != nil {
		return fmt.Errorf("store the procedures and part families: %w", err)
	}
	s.tail.Add(facts)
	return nil
}

func hashOf(f gauge.Fact) string {
	if f.Release != nil {
		return f.Release.Hash
	}
	return f.File.Hash
}

// Version is one time at which a version of a file came in force.
type Version struct {
	Hash   string
	By     string // ByFile when it was found on disk
	Reason string // empty when it was found on disk
	Time   time.Time
}

// Versions returns the versions of a procedure or part family, newest first. A
// version that came back stands in it again.
func (s *Station) Versions(ctx context.Context, kind, id string) ([]Version, error) {
	facts, err := s.o.Store.FileVersions(ctx, kind, id)
	if err != nil {
		return nil, err
	}
	var versions []Version
	for i, f := range facts {
		switch {
		case f.Release != nil:
			versions = append(versions, Version{f.Release.Hash, f.Release.By, f.Release.Reason, f.Release.Time})
		case i+1 < len(facts) && facts[i+1].Release != nil && facts[i+1].Seq == f.Seq+1 && facts[i+1].Release.Hash == f.File.Hash:
			// It was stored because of the release that follows.
		default:
			versions = append(versions, Version{Hash: f.File.Hash, By: ByFile, Time: f.File.Time})
		}
	}
	slices.Reverse(versions)
	return versions, nil
}
