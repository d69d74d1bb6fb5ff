package files

import (
	"regexp"
	"strconv"
	"strings"

	"gauged/internal/words"
)

// Fault is one problem of a copy.
type Fault struct {
	Line, Column int    // zero: it is not of a line of this file
	File         string // another file of the library, where it is of that
	Text         string
}

var faultLine = regexp.MustCompile(`^(.*?):(\d+):(\d+): (.*)$`)

// Faults takes the problems of files apart; path is the file under work.
func Faults(w words.Words, err error, path string) []Fault {
	if err == nil {
		return nil
	}
	var all []Fault
	for text := range strings.SplitSeq(w.Error(err), "\n") {
		m := faultLine.FindStringSubmatch(text)
		if m == nil {
			all = append(all, Fault{Text: text})
			continue
		}
		line, _ := strconv.Atoi(m[2])
		column, _ := strconv.Atoi(m[3])
		if m[1] != path {
			all = append(all, Fault{File: m[1] + ":" + m[2], Text: m[4]})
			continue
		}
		all = append(all, Fault{Line: line, Column: column, Text: m[4]})
	}
	return all
}
