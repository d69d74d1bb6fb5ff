package bench

import (
	"context"
	"errors"
	"io"
	"io/fs"
	"maps"
	"slices"
	"strings"

	"gauged/internal/readfile"

	"gauged/internal/cli/app"
	"gauged/internal/devices"
)

// findLayout returns a shipped layout by its name, or reads a layout file.
func findLayout(nameOrFile string) (*devices.Layout, error) {
	shipped, err := devices.ShippedLayouts()
	if err != nil {
		return nil, err
	}
	if layout, err := shipped.Find(nameOrFile); err == nil {
		return layout, nil
	}
	content, err := readfile.Whole(nameOrFile, app.LongestFile)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, app.Usagef("%q is neither a layout file nor a shipped layout; shipped are %s", nameOrFile, strings.Join(slices.Sorted(maps.Keys(shipped)), ", "))
	}
	if err != nil {
		return nil, err
	}
	return devices.ParseLayout(nameOrFile, content)
}

// interruptible returns a reader of r whose reads end with ctx. A read of r
// that blocks cannot be broken off: the goroutine ends with r, or with the
// program.
func interruptible(ctx context.Context, r io.Reader) io.Reader {
	reader, writer := io.Pipe()
	go func() {
		_, err := io.Copy(writer, r)
		writer.CloseWithError(err)
	}()
	context.AfterFunc(ctx, func() { writer.CloseWithError(ctx.Err()) })
	return reader
}
