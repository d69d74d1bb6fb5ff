package export

import (
	"context"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"

	"gauged/internal/cli/app"

	pb "gauged/api/gauged/v1"
)

// numbered is the name of a file in a folder: what it has, and the numbers of its first and
// last entry, so that names stand in the order of the history.
var numbered = regexp.MustCompile(`^([a-z]+)-([0-9]{20})-([0-9]{20})\.[a-z]+$`)

// toFolder writes what came since the last file of a folder to another one there.
func (s source) toFolder(ctx context.Context, a *app.App, d *app.Daemon, f flags) error {
	if !slices.Contains(forms, f.form) {
		return app.NotOneOf("--form", f.form, forms)
	}
	last, err := s.lastIn(f.folder)
	if err != nil {
		return err
	}
	f.after = max(f.after, last)
	info, err := app.Ask(ctx, d, d.Server.GetServerInfo, &pb.GetServerInfoRequest{})
	if err != nil {
		return err
	}
	if info.GetLastSeq() < last {
		return fmt.Errorf("the files in %s go up to entry %d, and this history ends with entry %d: it is another one, or a copy from before; take another folder", f.folder, last, info.GetLastSeq())
	}
	path := filepath.Join(f.folder, s.name)
	w, err := s.write(ctx, d, f, f.form, path)
	if err != nil {
		return err
	}
	if w.count == 0 {
		w.file.Drop()
		fmt.Fprintf(a.Stderr, "gaugectl: no %s came after entry %d\n", s.name, f.after)
		return nil
	}
	path += fmt.Sprintf("-%020d-%020d.%s", w.first, w.last, f.form)
	if err := w.finish(path); err != nil {
		return err
	}
	fmt.Fprintf(a.Stderr, "gaugectl: %d %s up to entry %d are written to %s\n", w.count, s.name, w.last, path)
	return nil
}

// lastIn is the number of the last entry that a folder has; 0: it has none.
func (s source) lastIn(folder string) (last uint64, err error) {
	files, err := os.ReadDir(folder)
	if err != nil {
		return 0, fmt.Errorf("reading the folder: %w", err)
	}
	for _, f := range files {
		m := numbered.FindStringSubmatch(f.Name())
		if m == nil || m[1] != s.name {
			continue
		}
		n, err := strconv.ParseUint(m[3], 10, 64)
		if err != nil {
			return 0, fmt.Errorf("%s: %w", filepath.Join(folder, f.Name()), err)
		}
		last = max(last, n)
	}
	return last, nil
}
