package access

import (
	"encoding/json"
	"errors"
	"io/fs"
	"sync"
	"time"

	"gauged/internal/readfile"
)

// longestTries is how many bytes the file of tries may have.
const longestTries = 4 << 20

// KeptTries are tries of several kinds that a restart does not forget: they lie in a file.
type KeptTries struct {
	path string // empty: they are not kept
	of   map[string]*Tries
	mu   sync.Mutex // one write at a time
}

// KeepTries returns tries of several kinds as a file has them, which need not be there yet.
// Those of a file that cannot be read begin anew, and the error says so.
func KeepTries(path string, of map[string]*Tries, now time.Time) (*KeptTries, error) {
	k := &KeptTries{path: path, of: of}
	if path == "" {
		return k, nil
	}
	content, err := readfile.Whole(path, longestTries)
	if errors.Is(err, fs.ErrNotExist) {
		return k, nil
	}
	var stored map[string]map[string]tried
	if err == nil {
		err = json.Unmarshal(content, &stored)
	}
	if err != nil {
		return k, err
	}
	for kind, tries := range of {
		tries.take(stored[kind], now)
	}
	return k, nil
}

// Keep writes them to the file.
func (k *KeptTries) Keep() error {
	if k.path == "" {
		return nil
	}
	k.mu.Lock()
	defer k.mu.Unlock()
	all := map[string]map[string]tried{}
	for kind, tries := range k.of {
		all[kind] = tries.remembered()
	}
	content, err := json.Marshal(all)
	if err != nil {
		return err
	}
	return writeWhole(k.path, content, 0o600)
}
