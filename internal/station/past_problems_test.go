package station

import (
	"errors"
	"reflect"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
)

// importOf is what is wrong with one check of an hour ago, or of another time.
func importOf(t *testing.T, r *rig, at time.Time, points []check.Stated) (texts []string) {
	t.Helper()
	_, problems, err := r.ImportChecks(Trial(t.Context()), health.ImportRequest{Gauge: "clock", By: "q", Checks: []health.PastCheck{{Time: at, Found: points}}})
	if err != nil {
		t.Fatal(err)
	}
	for _, p := range problems {
		texts = append(texts, told(p.Message))
	}
	return texts
}

// TestImportContradictsTheMaster: the value of a master that is known is the one of the
// configuration, within what is uncertain.
func TestImportContradictsTheMaster(t *testing.T) {
	r := newRig(t)
	for _, c := range []struct {
		master, value string // in mm
		want          []string
	}{
		{"block", "25", nil},
		{"block", "25.001", nil}, // U = 0.001 mm
		{"block", "25.0011", []string{"the value of block is 25.0011 mm here and 25 mm in the configuration, which is more than the uncertainties: correct it, or give another master its own name"}},
		{"rough", "25.003", nil}, // and 0.002 mm of its certificate
		{"rough", "25.0031", []string{"the value of rough is 25.0031 mm here and 25 mm in the configuration, which is more than the uncertainties: correct it, or give another master its own name"}},
		{"block", "2.5", []string{"the value of block is 2.5 mm here and 25 mm in the configuration, a factor of 10: is the unit right, and the decimal point?"}},
		{"block", "635", []string{"the value of block is 635 mm here and 25 mm in the configuration, a factor of 25.4: is the unit right, and the decimal point?"}},
		{"block", "0.025", []string{"the value of block is 0.025 mm here and 25 mm in the configuration, a factor of 1000: is the unit right, and the decimal point?"}},
		{"zero", "0", nil},
		{"zero", "0.1", []string{"the value of zero is 0.1 mm here and 0 mm in the configuration, which is more than the uncertainties: correct it, or give another master its own name"}},
		{"of the laboratory", "17", nil},
	} {
		points := stated(t, "0.001")
		points[0].Master, points[0].Value = c.master, gauge.MustLength(c.value, gauge.Millimetre)
		if got := importOf(t, r, r.clock().Add(-time.Hour), points); !reflect.DeepEqual(got, c.want) {
			t.Errorf("%s of %s mm: %q, want %q", c.master, c.value, got, c.want)
		}
	}
	points := stated(t, "0.001") // the uncertainty of 2 mm does not hide the wrong unit
	points[0].Value, points[0].Uncertainty.Uncertainty = gauge.MustLength("0.025", gauge.Millimetre), gauge.MustLength("30", gauge.Millimetre)
	if got := importOf(t, r, r.clock().Add(-time.Hour), points); len(got) != 1 {
		t.Errorf("%q", got)
	}
}

// TestImportCoverage: a coverage factor is from 1 to 10.
func TestImportCoverage(t *testing.T) {
	r := newRig(t)
	for k, good := range map[string]bool{"1": true, "2": true, "10": true, "0.999": false, "10.01": false, "0.001": false, "0": false, "-2": false, "100000": false} {
		points := stated(t, "0.001")
		points[0].Uncertainty.K = gauge.MustLength(k, gauge.One)
		got := importOf(t, r, r.clock().Add(-time.Hour), points)
		want := "at block the coverage factor k is " + k + ": it is from 1 to 10, mostly 2; are k and the uncertainty exchanged?"
		if good != (len(got) == 0) || !good && got[0] != want {
			t.Errorf("k of %s: %q", k, got)
		}
	}
}

// TestImportOfImpossibleTimes: no check is from before 1970, or from the future.
func TestImportOfImpossibleTimes(t *testing.T) {
	r := newRig(t)
	for _, c := range []struct {
		at   time.Time
		want string
	}{
		{time.Unix(0, 0), ""},
		{time.Unix(-1, 0), " is before 1970: write the year with all four digits"},
		{time.Date(26, 3, 31, 0, 0, 0, 0, time.UTC), " is before 1970: write the year with all four digits"},
		{time.Date(1026, 3, 31, 0, 0, 0, 0, time.UTC), " is before 1970: write the year with all four digits"},
		{time.Unix(-1e17, 0), "before 1970"},
		{time.Unix(1e17, 0), "in the future"},
	} {
		got := strings.Join(importOf(t, r, c.at, stated(t, "0.001")), "; ")
		if c.want == "" && got != "" || !strings.Contains(got, c.want) {
			t.Errorf("%v: %q, want %q", c.at, got, c.want)
		}
	}
}

// TestImportTooLarge: an import that would keep all else waiting is refused whole.
func TestImportTooLarge(t *testing.T) {
	r := newRig(t)
	for want, ask := range map[string]health.ImportRequest{
		"there are 2001 checks, and one import takes at most 2000: cut the table":       {Checks: make([]health.PastCheck, 2001)},
		"there are 10001 errors in the checks, and one import takes at most 10000: cut": {Checks: []health.PastCheck{{Found: make([]check.Stated, 9000), Left: make([]check.Stated, 1001)}}},
	} {
		ask.Gauge, ask.By = "clock", "q"
		if _, _, err := r.ImportChecks(t.Context(), ask); !errors.Is(err, gauge.ErrInput) || !strings.Contains(said(err), want) {
			t.Errorf("%v, want %q", err, want)
		}
	}
}
