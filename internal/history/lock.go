package history

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"runtime"
	"strconv"
	"strings"

	"gauged/internal/history/filelock"
)

// lockSuffix names the file beside the history that its holder keeps locked.
// The file stays when the history is closed: removing it would let two
// processes hold locks on two files of the same name.
const lockSuffix = ".lock"

// private is the mode of a history and of all beside it: whoever reads it learns who works
// here, and can guess at PINs by their hashes.
const private = 0o600

// acquireLock takes the exclusive right to the history at path. The returned
// file holds it until it is closed or the process ends.
func acquireLock(path string) (*os.File, error) {
	file, err := os.OpenFile(path+lockSuffix, os.O_RDWR|os.O_CREATE, private)
	if err != nil {
		return nil, fmt.Errorf("open the lock of history %s: %w", path, err)
	}
	busy, err := filelock.Try(file)
	if err == nil && !busy {
		err = writeHolder(file)
	}
	if err == nil && !busy {
		return file, nil
	}
	holder := "another process"
	if pid := readHolder(file); filelock.Holds(file, pid) {
		holder = "process " + pid
	}
	_ = file.Close()
	if err != nil {
		return nil, fmt.Errorf("lock history %s: %w", path, err)
	}
	return nil, fmt.Errorf("history %s: %w by %s; stop that process or use another history", path, ErrInUse, holder)
}

// lockDatabase takes the exclusive right to the file itself, under whatever name: a hard
// link is no second door. The file is made where there is none. Readers need no right.
func lockDatabase(p place) (*os.File, error) {
	if p.vfs != "" || runtime.GOOS != "linux" { // elsewhere these locks and those of SQLite are of one kind
		return nil, nil
	}
	file, err := os.OpenFile(p.path, os.O_RDWR|os.O_CREATE, private)
	if err != nil {
		return nil, fmt.Errorf("open history %s: %w", p.path, err)
	}
	busy, err := filelock.Try(file)
	if err == nil && !busy {
		return file, nil
	}
	_ = file.Close()
	if err != nil {
		return nil, fmt.Errorf("lock history %s: %w", p.path, err)
	}
	return nil, fmt.Errorf("history %s: %w under another name of the same file; stop that process or use another history", p.path, ErrInUse)
}

// InPlace gives the error ErrMoved when the file that is written is not the one at its path
// any more: it was moved away, deleted or replaced. What is stored goes into the file that
// was there.
func (s *Store) InPlace() error {
	if s.file == nil || s.isClosing() {
		return nil
	}
	held, err := s.file.Stat()
	if err != nil {
		return fmt.Errorf("history %s: %w", s.place.path, err)
	}
	there, err := os.Stat(s.place.path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return fmt.Errorf("history %s: %w: there is no file any more", s.place.path, ErrMoved)
	case err != nil:
		return fmt.Errorf("history %s: %w", s.place.path, err)
	case !os.SameFile(held, there):
		return fmt.Errorf("history %s: %w: another file is there", s.place.path, ErrMoved)
	case there.Size() == 0:
		return fmt.Errorf("history %s: %w: it was emptied", s.place.path, ErrMoved)
	}
	return nil
}

func writeHolder(file *os.File) error {
	if err := file.Truncate(0); err != nil {
		return err
	}
	_, err := file.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	return err
}

// readHolder is the number that who had the lock last has written; empty: it has none.
func readHolder(file *os.File) string {
	text, err := io.ReadAll(io.NewSectionReader(file, 0, 32))
	if err != nil {
		return ""
	}
	return strings.TrimSpace(string(text))
}
