package history

import (
	"context"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"gauged/internal/readfile"

	"gauged/internal/history/chain"
)

// knownSuffix names the file beside the history that says which history was there last.
const knownSuffix = ".known"

// longestBeside is how many bytes a small file beside a history has at most.
const longestBeside = 64 << 10

// known is which history was at a path when it was last opened or closed, and where it ended.
type known struct {
	History string `json:"history"`
	Seq     uint64 `json:"seq"`
	Digest  string `json:"digest"`

	Lists *knownLists `json:"lists,omitempty"`
}

// recognise compares the history with the one that was there last, and looks at its last
// link. What it finds is said by Found; it keeps nothing from being opened.
func (s *Store) recognise(ctx context.Context) error {
	if s.place.vfs != "" {
		return nil // the disk of a test has no other files
	}
	err := s.steps(ctx)(func(r *reader) error {
		if err := s.compareKnown(r); err != nil {
			return err
		}
		d, err := r.lastLinkDiffers()
		if err == nil && d != nil {
			s.found = append(s.found, d.String())
		}
		return err
	})
	if err != nil && !errors.Is(err, ErrDamaged) {
		return err
	}
	if err != nil {
		s.found = append(s.found, err.Error())
	}
	return s.remember()
}

func readKnown(path string) (k known, err error) {
	content, err := readfile.Whole(path+knownSuffix, longestBeside)
	if err == nil {
		err = json.Unmarshal(content, &k)
	}
	return k, err
}

func (s *Store) compareKnown(r *reader) error {
	k, err := readKnown(s.place.path)
	if errors.Is(err, fs.ErrNotExist) {
		return nil
	}
	if err != nil {
		s.found = append(s.found, fmt.Sprintf("it cannot be said whether this is the history that was there before: %v", err))
		return nil
	}
	digest, err := r.digestAt(k.Seq)
	switch {
	case err != nil:
		return err
	case k.History != s.id:
		s.found = append(s.found, fmt.Sprintf("a new history has begun: the one before, %s with %d facts, is not at %s any more", k.History, k.Seq, s.place.path))
	case k.Seq > s.LastSeq():
		s.found = append(s.found, fmt.Sprintf("the history ends with fact %d, before it ended with fact %d: this is an older copy, or its end was cut off", s.LastSeq(), k.Seq))
	case k.Seq > 0 && hex.EncodeToString(digest) != k.Digest:
		s.found = append(s.found, fmt.Sprintf("up to fact %d this is not the history that was there before: it is a copy that went another way, or was changed", k.Seq))
	}
	return nil
}

// remember writes which history is there.
func (s *Store) remember() error {
	end := s.end.Load()
	if s.place.vfs != "" || end == nil {
		return nil
	}
	content, err := json.Marshal(known{s.id, end.seq, hex.EncodeToString(end.digest[:]), s.lists})
	if err != nil {
		return err
	}
	unfinished := s.place.path + knownSuffix + ".new"
	err = os.WriteFile(unfinished, append(content, '\n'), private)
	if err == nil {
		err = os.Rename(unfinished, s.place.path+knownSuffix)
	}
	return err
}

// Found is what the quick look at the opening found: another history than before, or an
// end that is not what was stored.
func (s *Store) Found() []string { return s.found }

// lastLinkDiffers walks along the last link alone; nil: it is what was stored.
func (r *reader) lastLinkDiffers() (*chain.Difference, error) {
	w := walk{}
	if err := w.begin(r); err != nil {
		return nil, err
	}
	last, _, err := r.lastLink("")
	if err != nil {
		return nil, err
	}
	before, err := r.number("SELECT max(last) FROM chain WHERE last < ?", int64(last))
	if err == nil && before > 0 {
		var digest []byte
		digest, err = r.digestAt(before)
		w.Facts = before
		copy(w.Digest[:], digest)
	}
	for done := false; err == nil && !done && w.Difference == nil; {
		done, err = w.step(r)
	}
	return w.Difference, err
}
