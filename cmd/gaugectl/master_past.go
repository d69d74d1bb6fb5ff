package main

import (
	"errors"
	"fmt"
	"slices"
	"time"

	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
	"gauged/internal/server/message"

	pb "gauged/api/gauged/v1"
)

// pastColumns are the columns of a table of checks of the past.
var pastColumns = []tableColumn{
	{"time", true},
	{"master", true},
	{"value", true},
	{"error", true},
	{"uncertainty", true},
	{"k", true},
	{"place", false},
	{"certificate", false},
	{"by", false},
	{"occasion", false},
	{"remark", false},
	{"way", false},
	{"state", false},
	{"unit", false},
}

// pastTable is the checks of a table, and everything in it that cannot be read.
type pastTable struct {
	name     string
	unit     gauge.Unit // of lines without one
	checks   []*pastCheck
	byTime   map[time.Time]*pastCheck // the same
	problems []error
}

// pastCheck is a check of a table, with its first line.
type pastCheck struct {
	line   int
	check  *pb.PastCheck
	broken bool // a line of it cannot be read: the daemon is not asked about it
}

func readPastChecks(name string, unit gauge.Unit) (*pastTable, error) {
	t := &pastTable{name: name, unit: unit, byTime: map[time.Time]*pastCheck{}}
	if err := readTable(name, pastColumns, t.take); err != nil {
		return nil, err
	}
	if len(t.checks)+len(t.problems) == 0 {
		return nil, fmt.Errorf("%s: there are no errors under the line of column names", name)
	}
	return t, nil
}

// take takes a line into its check; what is wrong with it is kept.
func (t *pastTable) take(r *tableRow) error {
	at, err := pastTime(r.cell("time"))
	if err != nil {
		t.problems = append(t.problems, r.errorf("time", "%w", err))
		return nil
	}
	point, left, problems := t.point(r)
	t.problems = append(t.problems, problems...)
	check := &pb.PastCheck{
		Time: timestamppb.New(at), By: r.cell("by"), Place: r.cell("place"), Certificate: r.cell("certificate"),
		Occasion: r.cell("occasion"), Remark: r.cell("remark"),
	}
	c := t.byTime[at.UTC()]
	if c == nil {
		c = &pastCheck{line: r.line(), check: check}
		t.checks, t.byTime[at.UTC()] = append(t.checks, c), c
	}
	if o := c.check; o.GetBy() != check.GetBy() || o.GetPlace() != check.GetPlace() || o.GetCertificate() != check.GetCertificate() || o.GetOccasion() != check.GetOccasion() {
		t.problems = append(t.problems, r.errorf("time", "line %d has this time, with another place, certificate, occasion or person: two checks are not of one time; write the hour", c.line))
		return nil
	}
	if len(problems) > 0 {
		c.broken = true
		return nil
	}
	points := &c.check.Found
	if left {
		points = &c.check.Left
	}
	if slices.ContainsFunc(*points, func(o *pb.PastPoint) bool {
		return o.GetMaster() == point.GetMaster() && o.GetFalling() == point.GetFalling()
	}) {
		t.problems = append(t.problems, r.errorf("time", "there is an error at %s of this time already, in the check of line %d: two checks are not of one time; write the hour, or leave a line out", point.GetMaster(), c.line))
		return nil
	}
	*points = append(*points, point)
	return nil
}

// point reads the error of a line.
func (t *pastTable) point(r *tableRow) (p *pb.PastPoint, left bool, problems []error) {
	wrong := func(column string, err error) {
		if err != nil {
			problems = append(problems, r.errorf(column, "%w", err))
		}
	}
	unit := t.unit
	if text := r.cell("unit"); text != "" {
		var err error
		unit, err = gauge.ParseUnit(text, gauge.KindLength)
		wrong("unit", err)
	} else if !unit.Known() {
		wrong("unit", errors.New("in which unit is it? Write a column unit, or say it with --unit"))
	}
	p = &pb.PastPoint{
		Master: r.cell("master"), Unit: message.Unit(unit), Value: r.cell("value"), Error: r.cell("error"),
		Uncertainty: r.cell("uncertainty"), K: r.cell("k"),
	}
	if p.GetMaster() == "" {
		wrong("master", errors.New("the name of the master is missing"))
	}
	if unit.Known() {
		for _, column := range []string{"value", "error", "uncertainty"} {
			_, err := gauge.ParseLength(r.cell(column), unit)
			wrong(column, err)
		}
	}
	_, err := gauge.ParseLength(r.cell("k"), gauge.One)
	wrong("k", err)
	p.Falling, err = oneOfTwo(r.cell("way"), "rising", "falling")
	wrong("way", err)
	left, err = oneOfTwo(r.cell("state"), "found", "left")
	wrong("state", err)
	return p, left, problems
}

// oneOfTwo reports whether a text is the second word; empty stands for the first.
func oneOfTwo(text, first, second string) (bool, error) {
	switch text {
	case "", first:
		return false, nil
	case second:
		return true, nil
	}
	return false, fmt.Errorf("%q is not known here: write %s or %s", text, first, second)
}

// pastTime reads when a check was made.
func pastTime(text string) (time.Time, error) {
	for _, layout := range []string{time.RFC3339, "2006-01-02 15:04", time.DateOnly} {
		if at, err := time.Parse(layout, text); err == nil {
			return at, nil
		}
	}
	return time.Time{}, fmt.Errorf("%q is no time: write it as 2025-03-31T14:00:00+01:00, 2025-03-31 14:00 or 2025-03-31, these in UTC", text)
}
