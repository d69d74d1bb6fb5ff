package station

import (
	"context"
	"errors"
	"path/filepath"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/library"
)

// edited returns the library in force with a change of the procedure's text.
func (r *rig) edited(kind, id, old, new string) (*library.Library, error) {
	r.t.Helper()
	f, err := r.Library().File(kind, id)
	if err != nil {
		r.t.Fatal(err)
	}
	content := strings.Replace(string(f.Content), old, new, 1)
	if content == string(f.Content) {
		r.t.Fatal("the edit changes nothing")
	}
	return r.Library().With(context.Background().Err, kind, id, []byte(content))
}

func (r *rig) versions(kind, id string) string {
	r.t.Helper()
	versions, err := r.Versions(r.t.Context(), kind, id)
	if err != nil {
		r.t.Fatal(err)
	}
	var texts []string
	for _, v := range versions {
		texts = append(texts, v.Hash[:6]+" "+v.By+" "+v.Reason)
	}
	return strings.Join(texts, "; ")
}

// TestRelease: a new version counts for jobs that start afterwards, open jobs
// keep theirs, and author and reason are kept, over a restart too.
func TestRelease(t *testing.T) {
	path := filepath.Join(t.TempDir(), "history.db")
	r := rigAt(t, path)
	first := r.start(nil)
	old := r.Library()
	next, err := r.edited(library.KindProcedure, "ring", "max: 0.20}", "max: 0.18}")
	if err != nil {
		t.Fatal(err)
	}
	changed, err := r.Release(t.Context(), next, "A. Author", "tighter limits")
	if err != nil || len(changed) != 1 || changed[0].ID != "ring" {
		t.Fatalf("%+v, %v", changed, err)
	}
	second := r.start(nil)
	p, _, _ := next.Procedure("ring")
	if before, _, _ := old.Procedure("ring"); r.job(first.ID).Procedure.Hash != before.Hash || second.Procedure.Hash != p.Hash {
		t.Errorf("jobs follow %.6s and %.6s, want %.6s and %.6s", r.job(first.ID).Procedure.Hash, second.Procedure.Hash, before.Hash, p.Hash)
	}
	// The same library again changes nothing; the old one comes back under its old hash.
	if changed, err := r.Release(t.Context(), next, "x", "y"); err != nil || len(changed) != 0 {
		t.Errorf("%v, %v", changed, err)
	}
	if changed, err := r.Release(t.Context(), old, "B. Author", "too tight"); err != nil || len(changed) != 1 {
		t.Errorf("%v, %v", changed, err)
	}
	before, _, _ := old.Procedure("ring")
	want := before.Hash[:6] + " B. Author too tight; " + p.Hash[:6] + " A. Author tighter limits; " + before.Hash[:6] + " file "
	if got := r.versions(library.KindProcedure, "ring"); got != want {
		t.Errorf("got  %s\nwant %s", got, want)
	}
	r.stop()
	if err := r.store.Close(); err != nil {
		t.Fatal(err)
	}

	// While the station did not run, somebody put the tighter version back.
	r = rigWith(t, path, string(changed[0].Content))
	if got := r.versions(library.KindProcedure, "ring"); got != p.Hash[:6]+" file ; "+want {
		t.Errorf("after the restart: %s", got)
	}
	if got := r.job(second.ID).Procedure.Hash; got != p.Hash {
		t.Errorf("the open job follows %.6s after the restart", got)
	}
}

// TestReleaseIsDurableOrNothing: when the store fails, the old library stays in force.
func TestReleaseIsDurableOrNothing(t *testing.T) {
	r := newRig(t)
	next, err := r.edited(library.KindParts, "rings", "thickness: 1.60", "thickness: 1.65")
	if err != nil {
		t.Fatal(err)
	}
	full := errors.New("the disk is full")
	r.store.setFail(full)
	before := r.Library()
	if _, err := r.Release(t.Context(), next, "A", "b"); !errors.Is(err, full) {
		t.Errorf("got %v", err)
	}
	if r.Library() != before {
		t.Error("the new library is in force, but not stored")
	}
	r.store.setFail(nil)
	if _, err := r.Release(t.Context(), next, "A", "b"); err != nil || r.Library() != next {
		t.Errorf("%v", err)
	}
}

// TestLibraryWith: a change is checked with all other files.
func TestLibraryWith(t *testing.T) {
	r := newRig(t)
	cases := []struct{ name, kind, id, old, new, want string }{
		{"broken", library.KindProcedure, "ring", "gap: depth", "gap: deep", `ring.yaml:7:6: "deep" is not known here: name a measurement, a constant or a value that stands above`},
		{"another id", library.KindProcedure, "ring", "procedure: ring", "procedure: rung", `ring.yaml:1:1: this file is procedure "ring" and cannot take another id here: jobs and the history know it by that`},
		{"no such family", library.KindProcedure, "ring", "parts: rings", "parts: shims", `ring.yaml:1:1: procedure ring: there is no part family "shims": there are rings`},
		{"a family that no longer suits", library.KindParts, "rings", testParts[strings.Index(testParts, "grades"):], "border: lower row\ngrades:\n  - {part: R150, serves: {max: 1}}\n  - {part: R155, serves: {min: 1, max: 2}}\n", `ring.yaml:1:1: procedure ring chooses by thickness, but R150 of family rings has none`},
		{"a family that takes another id", library.KindParts, "rings", "family: rings", "family: shims", `ring.yaml:1:1: procedure ring: there is no part family "rings": there are shims`},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			if _, err := r.edited(c.kind, c.id, c.old, c.new); err == nil || said(err) != c.want {
				t.Errorf("got  %v\nwant %s", err, c.want)
			}
		})
	}
	if _, err := r.Library().With(context.Background().Err, library.KindParts, "none", nil); !errors.Is(err, gauge.ErrNotFound) {
		t.Errorf("got %v", err)
	}
}

// TestTry: a job's readings under a changed procedure; what does not belong there any more is said.
func TestTry(t *testing.T) {
	r := newRig(t)
	j := r.start(nil)
	for _, shown := range []string{"25.000", "25.010", "23.300"} {
		j = r.enter(j.ID, shown)
	}
	if got := j.Evaluation.Recommended(); got != "R155" {
		t.Fatalf("recommended is %q", got)
	}
	tighter, err := r.edited(library.KindProcedure, "ring", "play: {min: 0.10, max: 0.20}", "play: {min: 0.16, max: 0.26}")
	if err != nil {
		t.Fatal(err)
	}
	p, f, _ := tighter.Procedure("ring")
	trial, err := j.Try(p, f)
	if err != nil || trial.Evaluation.Recommended() != "R150" || len(trial.LeftOut) != 0 {
		t.Errorf("%q, %v, %v", trial.Evaluation.Recommended(), trial.LeftOut, err)
	}
	renamed, err := r.edited(library.KindProcedure, "ring", "height: {title: height}\ngap: depth - height", "boss: {title: height}\ngap: depth - boss")
	if err != nil {
		t.Fatal(err)
	}
	p, f, _ = renamed.Procedure("ring")
	trial, err = j.Try(p, f)
	if err != nil || len(trial.LeftOut) != 1 || told(trial.LeftOut[0]) != `height 23.300 mm: procedure ring has no measurement "height"` || trial.Evaluation.Outcome != "measuring" {
		t.Errorf("%s, %q, %v", trial.Evaluation.Outcome, trial.LeftOut, err)
	}
	coded, err := r.edited(library.KindProcedure, "ring", "height: {title: height}", "height: {title: height, unit: mm, one_of: {A: 23.3, B: 23.4}}")
	if err != nil {
		t.Fatal(err)
	}
	p, f, _ = coded.Procedure("ring")
	if trial, err = j.Try(p, f); err != nil || len(trial.LeftOut) != 1 || told(trial.LeftOut[0]) != `height 23.300 mm: "23.300" cannot be read for height: it is one of A, B` {
		t.Errorf("%q, %v", trial.LeftOut, err)
	}
	force, err := r.edited(library.KindProcedure, "ring", "height: {title: height}\ngap: depth - height", "height: {title: height, unit: N}\ngap: depth")
	if err != nil {
		t.Fatal(err)
	}
	p, f, _ = force.Procedure("ring")
	if trial, err = j.Try(p, f); err != nil || len(trial.LeftOut) != 1 || !strings.HasPrefix(told(trial.LeftOut[0]), "height 23.300 mm: ") {
		t.Errorf("%q, %v", trial.LeftOut, err)
	}
	if now := r.job(j.ID); now.Evaluation.Recommended() != "R155" {
		t.Error("trying has changed the job")
	}
}
