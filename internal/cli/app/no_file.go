package app

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"

	"gauged/internal/words"
)

// LongestFile is how many bytes a file may have that a command reads at once.
const LongestFile = 64 << 20

// PlainText is the text of an error. What the system says of a file is said as a person would.
func PlainText(err error) string {
	text := words.In(words.English).Error(err)
	var at *fs.PathError
	if !errors.As(err, &at) {
		return text
	}
	return strings.Replace(text, at.Error(), plainPath(at), 1)
}

func plainPath(at *fs.PathError) string {
	dir := filepath.Dir(at.Path)
	_, missing := os.Stat(dir)
	switch {
	case errors.Is(at, fs.ErrNotExist) && errors.Is(missing, fs.ErrNotExist):
		return fmt.Sprintf("there is no directory %s", dir)
	case errors.Is(at, fs.ErrNotExist):
		return fmt.Sprintf("there is no file %s", at.Path)
	case errors.Is(at, syscall.EISDIR):
		return fmt.Sprintf("%s is a directory: name a file", at.Path)
	case errors.Is(at, fs.ErrPermission):
		return fmt.Sprintf("this user may not use %s: look whose it is", at.Path)
	}
	return at.Error()
}
