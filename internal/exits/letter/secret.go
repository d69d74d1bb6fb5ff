package letter

import (
	"io/fs"
	"os"
	"path/filepath"

	"gauged/internal/gauge"
	"gauged/internal/readfile"
)

// ReadSecret reads a file of so many bytes at most that its owner alone may read. credentials
// is the directory in which the service manager puts what it gives to this service alone;
// empty: there is none.
func ReadSecret(path string, most int64, credentials string) ([]byte, error) {
	content, err := readfile.Whole(path, most)
	if err != nil {
		return nil, err
	}
	info, err := os.Stat(path)
	if err != nil {
		return nil, err
	}
	given := credentials != "" && filepath.Dir(path) == filepath.Clean(credentials)
	if forOthers(info.Mode(), given) {
		return nil, gauge.Refused("station.hook-secret-open", gauge.Text("file", path))
	}
	return content, nil
}

// forOthers reports whether others than the owner may read or write a file. Of one that the
// service manager gives, the bits of the group are those of this service.
func forOthers(mode fs.FileMode, given bool) bool {
	others := fs.FileMode(0o077)
	if given {
		others = 0o037
	}
	return modesCount && mode.Perm()&others != 0
}
