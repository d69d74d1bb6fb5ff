package recall

import (
	"errors"
	"fmt"
	"os"
	"strconv"
	"time"

	"gauged/internal/cli/app"
	"gauged/internal/evaluate"
	"gauged/internal/gauge"
	"gauged/internal/health/recall"
	"gauged/internal/table"
	"gauged/internal/uncertainty"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// recallFile recalls the jobs of a file with the error that is given.
func recallFile(name string, request *pb.RecallRequest, f recallFlags) (*pb.RecallResponse, error) {
	jobs, err := readJobs(name, request.GetGaugeId(), len(request.GetPoints()) > 1)
	if err != nil {
		return nil, err
	}
	e, err := fileError(request, f.found, jobs)
	if err != nil {
		return nil, err
	}
	required := uncertainty.Rounded(f.required)
	var results []recall.Result
	byNumber := map[uint64]tableJob{}
	for _, j := range jobs {
		if j.started.Before(e.Since) {
			continue
		}
		result, err := recall.Correct(j.Job, e.model, required)
		if err != nil {
			return nil, fmt.Errorf("%s:%d:1: %w", name, j.line, gauge.At(err, "refusal.recall.at-job", gauge.Count("job", j.Number)))
		}
		results = append(results, result)
		byNumber[j.Number] = j
	}
	recall.Order(results)
	for _, r := range results {
		e.Add(byNumber[r.Number].item(r))
	}
	return wire.Recall(e.List, wire.FromUnit(errorUnit(request))), nil
}

// tableError is what is taken off the jobs of a file.
type tableError struct {
	recall.List
	model recall.ErrorModel
}

// fileError is the error that the flags state. Where it is not said when it was
// found, the last job of the file is the end.
func fileError(request *pb.RecallRequest, found string, jobs []tableJob) (e tableError, err error) {
	curve, err := fileCurve(request)
	if err != nil {
		return e, err
	}
	e.Curve = curve.Points()
	if request.GetSinceTime() != nil {
		e.Since = request.GetSinceTime().AsTime()
	}
	for _, j := range jobs {
		if j.started.After(e.Until) {
			e.Until = j.started
		}
	}
	if found != "" {
		if e.Until, err = app.DayOrTime(found, time.UTC); err != nil {
			return e, app.Usagef("--found %q is not a day such as 2026-03-01 or a time in RFC 3339", found)
		}
	}
	e.Model = recall.CourseConstant
	if !request.GetGrowing() {
		e.model = recall.Constant(e.Since, curve)
		return e, nil
	}
	e.Model = recall.CourseGrowing
	if e.Since.IsZero() {
		return e, app.Usagef("an error that grew needs the day of the last good check: --since 2026-03-01")
	}
	if e.model, err = recall.Growing(e.Since, e.Until, curve); err != nil {
		return e, app.Usagef("--since and --found: %w", err)
	}
	return e, nil
}

// errorUnit is the unit that the error is stated in.
func errorUnit(request *pb.RecallRequest) pb.Unit {
	if points := request.GetPoints(); len(points) > 0 {
		return points[0].GetUnit()
	}
	return request.GetUnit()
}

// fileCurve is the error over what the gauge shows.
func fileCurve(request *pb.RecallRequest) (recall.Curve, error) {
	if len(request.GetPoints()) > 0 {
		points, err := wire.FromRecallPoints(request.GetPoints())
		if err != nil {
			return recall.Curve{}, err
		}
		curve, err := recall.NewCurve(points)
		if err != nil {
			return curve, app.Usagef("--error: %w", err)
		}
		return curve, nil
	}
	unit := wire.FromUnit(request.GetUnit())
	off, err := gauge.ParseLength(request.GetError(), unit)
	if err != nil {
		return recall.Curve{}, app.Usagef("--error: %w", err)
	}
	standard := gauge.Length(0)
	if text := request.GetStandardUncertainty(); text != "" {
		if standard, err = gauge.ParseLength(text, unit); err != nil || standard < 0 {
			return recall.Curve{}, app.Usagef("--standard-uncertainty %s is not a length of 0 or more", text)
		}
	}
	return recall.Flat(off, standard.Metres())
}

// tableJob is a line of a file of jobs.
type tableJob struct {
	recall.Job
	line    int
	serial  string
	started time.Time
	unit    gauge.Unit
}

// item is a job with what it comes to. Of one whose uncertainty is not known there is
// no probability: the limits decided by themselves.
func (j tableJob) item(r recall.Result) recall.Item {
	i := recall.Item{
		Job: j.Number, UnitSerial: j.serial, Started: j.started, Measured: &j.Value, Corrected: &r.Corrected, Unit: j.unit,
		Before: evaluate.Outcome(r.Before), After: evaluate.Outcome(r.After), Change: r.Change(), Beyond: r.Beyond,
	}
	if j.Low != recall.NoLow {
		i.Allowed.Min = &j.Low
	}
	if j.High != recall.NoHigh {
		i.Allowed.Max = &j.High
	}
	if r.Known {
		p := r.ProbabilityAfter.Float()
		i.Probability = &p
	}
	return i
}

// jobColumns are the columns of a file of jobs.
var jobColumns = append(
	table.Needed("job", "unit_serial", "started", "measured", "lower", "upper", "unit", "standard_uncertainty"),
	table.Optional("freedom", "coefficient", "reading", "gauge")...,
)

// readJobs reads the jobs of a file that a gauge measured: all, when there is no
// column that names gauges. places says that the error is not the same at every
// reading, so that each line needs its own.
func readJobs(name, gaugeID string, places bool) (jobs []tableJob, err error) {
	file, err := os.Open(name)
	if err != nil {
		return nil, err
	}
	defer file.Close()
	t := table.New(name, file, table.Form{Columns: jobColumns})
	if places {
		t.Need("reading", "the error is not the same at every reading: add what the gauge showed")
	}
	if t.Has("gauge") && gaugeID == "" {
		return nil, errors.Join(t.Err(), fmt.Errorf("%s: %w", name, gauge.WrongInput("row.which-gauge")))
	}
	seen := map[uint64]int{} // place in jobs
	for r := range t.Rows() {
		j := readJob(r)
		at, known := seen[j.Number]
		switch {
		case !r.OK() || r.Has("gauge") && r.Text("gauge") != gaugeID:
		case known && !r.Has("reading"):
			r.Say("job", "row.job-twice", gauge.Count("job", j.Number), gauge.Count("line", jobs[at].line))
		case known && !jobs[at].same(j):
			r.Say("job", "row.job-differs", gauge.Count("job", j.Number), gauge.Count("line", jobs[at].line))
		case known:
			jobs[at].Uses = append(jobs[at].Uses, j.Uses...)
		default:
			seen[j.Number] = len(jobs)
			jobs = append(jobs, j)
		}
	}
	if t.OK() && len(jobs) == 0 {
		if gaugeID == "" {
			return nil, fmt.Errorf("%s: %w", name, gauge.WrongInput("row.no-jobs"))
		}
		return nil, fmt.Errorf("%s: %w", name, gauge.WrongInput("row.no-job-of", gauge.Text("gauge", gaugeID)))
	}
	return jobs, t.Err()
}

// same reports whether a line is of the same job.
func (j tableJob) same(o tableJob) bool {
	return j.serial == o.serial && j.started.Equal(o.started) && j.Value == o.Value && j.Low == o.Low && j.High == o.High && j.Standard == o.Standard && j.Exact == o.Exact && j.Freedom == o.Freedom
}

func readJob(r *table.Row) (j tableJob) {
	j.line, j.serial = r.Line(), r.Text("unit_serial")
	j.Number = table.Parse(r, "job", func(text string) (uint64, error) {
		n, err := strconv.ParseUint(text, 10, 63)
		if err != nil || n == 0 {
			return 0, gauge.WrongInput("row.not-whole", table.Quoted(text))
		}
		return n, nil
	})
	var err error
	if j.started, err = table.Time(r.Text("started")); err != nil {
		r.Wrong("started", err)
	}
	j.unit = app.LengthUnit(r, gauge.UnitUnknown)
	j.Low, j.High = recall.NoLow, recall.NoHigh
	for _, c := range []struct {
		column string
		needed bool
		to     *gauge.Length
	}{{"measured", true, &j.Value}, {"lower", false, &j.Low}, {"upper", false, &j.High}, {"standard_uncertainty", false, &j.Standard}} {
		if c.needed || r.Text(c.column) != "" {
			*c.to = app.Length(r, c.column, j.unit)
		}
	}
	j.Exact = j.Standard == 0 && r.Text("standard_uncertainty") != ""
	if text := r.Text("freedom"); text != "" {
		if j.Freedom, err = strconv.Atoi(text); err != nil || j.Freedom < 1 {
			r.Say("freedom", "row.freedom", table.Quoted(text))
		}
	}
	use := recall.Use{Time: j.started, Coefficient: 1}
	if r.Text("coefficient") != "" {
		use.Coefficient = table.Parse(r, "coefficient", app.ParseNumber)
	}
	if r.Has("reading") {
		use.Shown = app.Length(r, "reading", j.unit)
	}
	switch {
	case j.Standard < 0:
		r.Say("standard_uncertainty", "row.uncertainty-negative")
	case j.Low == recall.NoLow && j.High == recall.NoHigh:
		r.Say("lower", "row.no-limits")
	case j.Low > j.High:
		r.Say("lower", "row.limits-swapped", gauge.Typed("lower", r.Text("lower")), gauge.Typed("upper", r.Text("upper")))
	}
	j.Uses = []recall.Use{use}
	return j
}
