package history

import (
	"fmt"
	"io"
	"os"
	"strconv"
	"strings"
)

// lockSuffix names the file beside the history that its holder keeps locked.
// The file stays when the history is closed: removing it would let two
// processes hold locks on two files of the same name.
const lockSuffix = ".lock"

// acquireLock takes the exclusive right to the history at path. The returned
// file holds it until it is closed or the process ends.
func acquireLock(path string) (*os.File, error) {
	file, err := os.OpenFile(path+lockSuffix, os.O_RDWR|os.O_CREATE, 0o644)
	if err != nil {
		return nil, fmt.Errorf("open the lock of history %s: %w", path, err)
	}
	busy, err := tryLock(file)
	if err == nil && !busy {
		err = writeHolder(file)
	}
	if err == nil && !busy {
		return file, nil
	}
	holder := readHolder(file)
	_ = file.Close()
	if err != nil {
		return nil, fmt.Errorf("lock history %s: %w", path, err)
	}
	return nil, fmt.Errorf("history %s: %w by process %s; stop that process or use another history", path, ErrInUse, holder)
}

func writeHolder(file *os.File) error {
	if err := file.Truncate(0); err != nil {
		return err
	}
	_, err := file.WriteAt([]byte(strconv.Itoa(os.Getpid())+"\n"), 0)
	return err
}

func readHolder(file *os.File) string {
	text, err := io.ReadAll(io.NewSectionReader(file, 0, 32))
	if holder := strings.TrimSpace(string(text)); err == nil && holder != "" {
		return holder
	}
	return "unknown"
}
