package shelf

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"gauged/internal/evaluate/formula"
	"gauged/internal/gauge"
	"gauged/internal/historytest"
	"gauged/internal/library"
	"gauged/internal/station"
	"gauged/internal/words"
)

// The procedure and the parts are invented for these tests.
const (
	ring = `procedure: ring
title: Ring
unit: mm
measure: {depth: {title: depth}}
gap: depth
allow: {play: {min: 0.10, max: 0.20}}
parts: rings
choose: {method: middle}
`
	parts = `family: rings
title: Rings
unit: mm
grades:
  - {part: R150, thickness: 1.50}
  - {part: R155, thickness: 1.55}
`
)

// byGap are grades that are chosen by the gap, which the procedure does not do.
const byGap = "border: lower row\ngrades:\n  - {part: R150, serves: {max: 1}}\n  - {part: R155, serves: {min: 1, max: 2}}\n"

type rig struct {
	*Shelf
	t       *testing.T
	dir     string
	station *station.Station
}

func newRig(t *testing.T) *rig {
	t.Helper()
	r := &rig{t: t, dir: t.TempDir()}
	r.write("ring.yaml", ring)
	r.write("rings.yaml", parts)
	r.run(r.read)
	return r
}

// run starts a station with the files that read finds.
func (r *rig) run(read func(context.Context) (*library.Library, error)) {
	r.t.Helper()
	library, err := read(context.Background())
	if err != nil {
		r.t.Fatal(err)
	}
	r.station, err = station.New(r.t.Context(), station.Options{Store: historytest.Open(r.t), Library: library, Now: time.Now})
	if err != nil {
		r.t.Fatal(err)
	}
	ctx, cancel := context.WithCancel(context.Background())
	var running sync.WaitGroup
	running.Go(func() { r.station.Run(ctx) })
	r.t.Cleanup(func() {
		cancel()
		running.Wait()
	})
	r.Shelf = New(r.station, read)
}

func (r *rig) path(name string) string { return filepath.Join(r.dir, name) }

func (r *rig) write(name, content string) {
	r.t.Helper()
	if err := os.WriteFile(r.path(name), []byte(content), 0o640); err != nil {
		r.t.Fatal(err)
	}
}

func (r *rig) disk(name string) string {
	r.t.Helper()
	content, err := os.ReadFile(r.path(name))
	if err != nil {
		r.t.Fatal(err)
	}
	return string(content)
}

func (r *rig) read(context.Context) (*library.Library, error) {
	file := func(name string) []library.Source {
		content, err := formula.WithTables(r.path(name), []byte(r.disk(name)), os.ReadFile)
		if err != nil {
			r.t.Error(err)
		}
		return []library.Source{{Path: r.path(name), Content: content}}
	}
	return library.New(context.Background().Err, file("ring.yaml"), file("rings.yaml"))
}

// revision changes the procedure that is in force.
func (r *rig) revision(old, new string) Revision {
	r.t.Helper()
	return r.revisionOf(library.KindProcedure, "ring", old, new)
}

func (r *rig) revisionOf(kind, id, old, new string) Revision {
	r.t.Helper()
	f, err := r.station.Library().File(kind, id)
	if err != nil {
		r.t.Fatal(err)
	}
	content := strings.Replace(string(f.Content), old, new, 1)
	return Revision{Kind: kind, ID: id, Base: f.Hash, Content: []byte(content), By: " A. Author ", Reason: "tried on the bench"}
}

func TestSave(t *testing.T) {
	r := newRig(t)
	revision := r.revision("max: 0.20", "max: 0.18")
	if err := r.Save(t.Context(), revision); err != nil {
		t.Fatal(err)
	}
	if got := r.disk("ring.yaml"); got != string(revision.Content) {
		t.Errorf("the file has\n%s", got)
	}
	info, err := os.Stat(r.path("ring.yaml"))
	if err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("mode %v, %v", info.Mode(), err)
	}
	if left, err := filepath.Glob(r.path(".*")); err != nil || len(left) != 0 {
		t.Errorf("left beside it: %v, %v", left, err)
	}
	versions, err := r.station.Versions(t.Context(), library.KindProcedure, "ring")
	if err != nil || len(versions) != 2 || versions[0].By != "A. Author" || versions[0].Reason != "tried on the bench" || versions[1].By != "file" {
		t.Errorf("%+v, %v", versions, err)
	}
	if p, _, _ := r.station.Library().Procedure("ring"); p.Hash != versions[0].Hash {
		t.Error("the new version is not in force")
	}
}

// TestSaveThroughLink: a link goes on leading to the file that is written.
func TestSaveThroughLink(t *testing.T) {
	r := newRig(t)
	if err := os.Rename(r.path("ring.yaml"), r.path("kept")); err != nil {
		t.Fatal(err)
	}
	if err := os.Symlink("kept", r.path("ring.yaml")); err != nil {
		t.Fatal(err)
	}
	if err := r.Save(t.Context(), r.revision("max: 0.20", "max: 0.18")); err != nil {
		t.Fatal(err)
	}
	if to, err := os.Readlink(r.path("ring.yaml")); err != nil || to != "kept" || !strings.Contains(r.disk("kept"), "0.18") {
		t.Errorf("%s, %v", to, err)
	}
}

// TestSaveIsRefused: each refusal leaves disk and library as they were.
func TestSaveIsRefused(t *testing.T) {
	cases := []struct {
		name string
		edit func(*rig) Revision
		kind error
		want string // after the kind; DIR stands for the directory
	}{
		{"nobody", func(r *rig) Revision {
			v := r.revision("0.20", "0.18")
			v.By = " "
			return v
		}, gauge.ErrInput, "say who makes the new version"},
		{"a name that is taken", func(r *rig) Revision {
			v := r.revision("0.20", "0.18")
			v.By = "file"
			return v
		}, gauge.ErrInput, "say who makes the new version"},
		{"no reason", func(r *rig) Revision {
			v := r.revision("0.20", "0.18")
			v.Reason = "\n"
			return v
		}, gauge.ErrInput, "say why the new version is made"},
		{"no change", func(r *rig) Revision { return r.revision("0.20", "0.20") }, gauge.ErrInput, "nothing is changed"},
		{"no such file", func(r *rig) Revision { return Revision{Kind: library.KindParts, ID: "x", By: "a", Reason: "b"} }, gauge.ErrNotFound, `there is no file of parts "x"`},
		{"broken", func(r *rig) Revision { return r.revision("gap: depth", "gap: deep") }, gauge.ErrInput, "the new version has problems:\n" + `DIR/ring.yaml:5:6: "deep" is not known here: name a measurement, a constant or a value that stands above`},
		{"an example that does not come out", func(r *rig) Revision {
			return r.revision("title: Ring", "title: Ring\nexamples: [{title: page 9, readings: {depth: 1.65}, wants: {part: R155}}]")
		}, gauge.ErrInput, "the new version has problems:\n" + `DIR/ring.yaml:3:67: the example "page 9": part: got R150, wanted R155 (outcome fit part): find out whether the print or the file has the slip`},
		{"a family that no longer suits", func(r *rig) Revision {
			return r.revisionOf(library.KindParts, "rings", parts[strings.Index(parts, "grades"):], byGap)
		}, gauge.ErrInput, "the new version has problems:\n" + `DIR/ring.yaml:1:1: procedure ring chooses by thickness, but R150 of family rings has none`},
		{"changed on disk", func(r *rig) Revision {
			r.write("ring.yaml", ring+"# by hand\n")
			return r.revision("0.20", "0.18")
		}, gauge.ErrRefused, "DIR/ring.yaml was changed by somebody else and is not what is in force; have it read with gaugectl procedures reload, and edit again from there"},
		{"changed in force", func(r *rig) Revision {
			v := r.revision("0.20", "0.18")
			if err := r.Save(r.t.Context(), r.revision("0.20", "0.19")); err != nil {
				r.t.Fatal(err)
			}
			return v
		}, gauge.ErrRefused, "another version of ring has come in force since this edit began; compare, and edit again from there"},
		{"read-only file", func(r *rig) Revision {
			if err := os.Chmod(r.path("ring.yaml"), 0o440); err != nil {
				r.t.Fatal(err)
			}
			return r.revision("0.20", "0.18")
		}, gauge.ErrRefused, "the file DIR/ring.yaml is set read-only"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			r := newRig(t)
			revision := c.edit(r)
			disk, library := r.disk("ring.yaml")+r.disk("rings.yaml"), r.station.Library()
			err := r.Save(t.Context(), revision)
			want := strings.ReplaceAll(c.want, "DIR", r.dir)
			if !errors.Is(err, c.kind) || said(err) != want {
				t.Errorf("got  %v\nwant %s", err, want)
			}
			if r.disk("ring.yaml")+r.disk("rings.yaml") != disk || r.station.Library() != library {
				t.Error("something has changed all the same")
			}
		})
	}
}

// TestConcurrentSaves: of edits that began from the same version one is saved.
func TestConcurrentSaves(t *testing.T) {
	r := newRig(t)
	var saving sync.WaitGroup
	errs := make([]error, 8)
	for i := range errs {
		revision := r.revision("0.20", "0.1"+string(rune('1'+i)))
		saving.Go(func() { errs[i] = r.Save(t.Context(), revision) })
	}
	saving.Wait()
	saved := 0
	for _, err := range errs {
		if err == nil {
			saved++
		} else if !errors.Is(err, gauge.ErrRefused) {
			t.Errorf("got %v", err)
		}
	}
	f, err := r.station.Library().File(library.KindProcedure, "ring")
	if saved != 1 || err != nil || string(f.Content) != r.disk("ring.yaml") {
		t.Errorf("%d saved; the file and what is in force differ: %v", saved, err)
	}
}

func TestReload(t *testing.T) {
	r := newRig(t)
	if changed, err := r.Reload(t.Context()); err != nil || len(changed) != 0 {
		t.Fatalf("%v, %v", changed, err)
	}
	r.write("rings.yaml", parts+"  - {part: R160, thickness: 1.60}\n")
	changed, err := r.Reload(t.Context())
	if err != nil || len(changed) != 1 || changed[0].Kind != library.KindParts || changed[0].ID != "rings" {
		t.Fatalf("%v, %v", changed, err)
	}
	versions, err := r.station.Versions(t.Context(), library.KindParts, "rings")
	if err != nil || len(versions) != 2 || versions[0].By != station.ByFile || versions[0].Hash != changed[0].Hash {
		t.Errorf("%+v, %v", versions, err)
	}
	before := r.station.Library()
	r.write("rings.yaml", "family: rings\n")
	_, err = r.Reload(t.Context())
	if !errors.Is(err, gauge.ErrRefused) || !strings.Contains(said(err), r.path("rings.yaml")+`:1:1: "grades" is missing`) || r.station.Library() != before {
		t.Errorf("got %v", err)
	}
}

// TestStationWithoutProcedures: an intake has nothing to save or to read again.
func TestStationWithoutProcedures(t *testing.T) {
	r := &rig{t: t}
	r.run(func(context.Context) (*library.Library, error) {
		return library.New(context.Background().Err, nil, nil)
	})
	want := "this station has no procedures; they are kept where its jobs run"
	if _, err := r.Reload(t.Context()); err == nil || said(err) != want {
		t.Errorf("got %v", err)
	}
	if err := r.Save(t.Context(), Revision{Kind: library.KindProcedure, ID: "ring", By: "a", Reason: "b"}); err == nil || said(err) != want {
		t.Errorf("got %v", err)
	}
}

// TestReplaceFails: where the directory cannot be written, nothing is left behind.
func TestReplaceFails(t *testing.T) {
	r := newRig(t)
	if err := replace(r.path("none.yaml"), nil); !errors.Is(err, os.ErrNotExist) {
		t.Errorf("got %v", err)
	}
	if err := r.Writable(library.KindProcedure, "ring"); err != nil {
		t.Errorf("got %v", err)
	}
	if err := os.Remove(r.path("ring.yaml")); err != nil {
		t.Fatal(err)
	}
	if err := r.Writable(library.KindProcedure, "ring"); err == nil || !strings.Contains(said(err), "the file cannot be written: ") {
		t.Errorf("got %v", err)
	}
}

// TestGone: who has gone away is waited for no longer, and nothing changes.
func TestGone(t *testing.T) {
	r := newRig(t)
	r.write("rings.yaml", parts+"  - {part: R160, thickness: 1.60}\n")
	ctx, leave := context.WithCancel(t.Context())
	leave()
	if _, err := r.Reload(ctx); !errors.Is(err, context.Canceled) {
		t.Errorf("reload: %v", err)
	}
	if _, err := r.Check(ctx, library.KindParts, "rings", []byte(parts)); !errors.Is(err, context.Canceled) {
		t.Errorf("check: %v", err)
	}
	if changed, err := r.Reload(t.Context()); err != nil || len(changed) != 1 {
		t.Errorf("the turn is free: %v, %v", changed, err)
	}
}

// said is what an error tells.
func said(err error) string { return words.In(words.English).Error(err) }
