package master

import (
	"slices"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/table"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// pastColumns are the columns of a table of checks of the past.
var pastColumns = append(
	table.Needed("time", "master", "value", "error", "uncertainty", "k"),
	table.Optional("place", "certificate", "by", "occasion", "remark", "way", "state", "unit")...,
)

// pastTable is the checks of a table, and everything in it that cannot be read.
type pastTable struct {
	name   string
	unit   gauge.Unit // of lines without one
	checks []*pastCheck
	byTime map[time.Time]*pastCheck // the same
	wrong  error
}

// pastCheck is a check of a table, with its first line and the places of its errors.
type pastCheck struct {
	line        int
	check       *pb.PastCheck
	found, left []map[string]table.Problem // by the fields of the contract
	broken      bool                       // an error as found cannot be read: the daemon is not asked about it
}

// place is where a problem of the daemon stands in the table.
func (c *pastCheck) place(p *pb.ImportProblem) table.Problem {
	places, i := append(c.found, c.left...), max(int(p.GetPoint())-1, 0)
	if i < len(places) {
		if at, ok := places[i][p.GetField()]; ok {
			return at
		}
		return places[i][""]
	}
	return table.Problem{Line: c.line}
}

// placesOf are the places of what a row says of an error, by the fields of the contract.
func placesOf(r *table.Row) map[string]table.Problem {
	places := map[string]table.Problem{"": {Line: r.Line()}, "master_id": r.Place("master")}
	for _, name := range []string{"time", "unit", "value", "error", "uncertainty", "k"} {
		places[name] = r.Place(name)
	}
	return places
}

// readPastChecks reads a table of checks; one of which nothing can be read is an error.
func readPastChecks(name string, unit gauge.Unit) (*pastTable, error) {
	t := &pastTable{name: name, unit: unit, byTime: map[time.Time]*pastCheck{}}
	t.wrong = app.ReadTable(name, table.Form{Columns: pastColumns}, t.take)
	if len(t.checks) == 0 {
		return nil, t.wrong
	}
	return t, nil
}

// take takes a line into its check.
func (t *pastTable) take(r *table.Row) {
	at, err := table.Time(r.Text("time"))
	if err != nil {
		r.Wrong("time", err)
	}
	point, left := t.point(r)
	if err != nil {
		return
	}
	one := &pb.PastCheck{
		Time: timestamppb.New(at), By: r.Text("by"), Place: r.Text("place"), Certificate: r.Text("certificate"),
		Occasion: r.Text("occasion"), Remark: r.Text("remark"),
	}
	c := t.byTime[at]
	if c == nil {
		c = &pastCheck{line: r.Line(), check: one}
		t.checks, t.byTime[at] = append(t.checks, c), c
	}
	points, places := &c.check.Found, &c.found
	if left {
		points, places = &c.check.Left, &c.left
	}
	o := c.check
	switch {
	case o.GetBy() != one.GetBy() || o.GetPlace() != one.GetPlace() || o.GetCertificate() != one.GetCertificate() || o.GetOccasion() != one.GetOccasion():
		r.Say("time", "row.time-of-another", gauge.Count("line", c.line))
	case !r.OK():
		c.broken = c.broken || !left
	case slices.ContainsFunc(*points, func(p *pb.PastPoint) bool {
		return p.GetMasterId() == point.GetMasterId() && p.GetFalling() == point.GetFalling()
	}):
		r.Say("time", "row.error-twice", gauge.Text("master", point.GetMasterId()), gauge.Count("line", c.line))
	default:
		*points, *places = append(*points, point), append(*places, placesOf(r))
	}
}

// point reads the error of a line, and whether it is as left.
func (t *pastTable) point(r *table.Row) (p *pb.PastPoint, left bool) {
	unit := app.LengthUnit(r, t.unit)
	if r.Text("master") == "" {
		r.Say("master", "refusal.import.no-master")
	}
	for _, column := range []string{"value", "error", "uncertainty"} {
		app.Length(r, column, unit)
	}
	app.Length(r, "k", gauge.One)
	return &pb.PastPoint{
		MasterId: r.Text("master"), Unit: wire.Unit(unit), Value: r.Number("value"), Error: r.Number("error"),
		Uncertainty: r.Number("uncertainty"), K: r.Number("k"), Falling: app.IsSecond(r, "way", "rising", "falling"),
	}, app.IsSecond(r, "state", "found", "left")
}
