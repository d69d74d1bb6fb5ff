// Package kept is how the examples keep what they watch: a file of lines, each with its place in
// the history of the station, from which the next run goes on.
package kept

import (
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"os"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

// File is a file of lines. Its place is that of the last one.
type File struct {
	client.Place
	file *os.File
}

// Open opens a file, or begins it.
func Open(name string) (*File, error) {
	file, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return nil, err
	}
	f := &File{file: file}
	for lines := json.NewDecoder(file); err == nil; {
		err = lines.Decode(&f.Place)
	}
	if !errors.Is(err, io.EOF) {
		return nil, errors.Join(fmt.Errorf("%s: %w", name, err), file.Close())
	}
	return f, nil
}

// Keep adds a line, whole or not at all.
func (f *File) Keep(line any) error {
	text, err := json.Marshal(line)
	if err == nil {
		_, err = f.file.Write(append(text, '\n'))
	}
	return err
}

// Away says when the station is away, and waits for it.
var Away = client.Outage{Patient: true, Lost: func(error) { fmt.Fprintln(os.Stderr, "the station is away: waiting") }}

// Behind says how far a watch is behind, if it is far.
func Behind(lag *pb.Lag) {
	if lag != nil {
		fmt.Fprintf(os.Stderr, "behind: at %d of %d\n", lag.GetAfterSeq(), lag.GetNewestSeq())
	}
}

// Fail ends the program with an error: of a refusal, with the reason to go by.
func Fail(err error) {
	if r, ok := client.RefusalOf(err); ok {
		err = fmt.Errorf("%s: %w", r.Reason, err)
	}
	fmt.Fprintln(os.Stderr, err)
	os.Exit(1)
}
