package main

import (
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/server/message"

	pb "gauged/api/gauged/v1"
)

// pointColumns are the columns of a file of errors.
var pointColumns = []tableColumn{
	{"reading", true},
	{"error", true},
	{"unit", true},
	{"standard_uncertainty", false},
	{"master", false},
}

// readPoints reads the error of a gauge at several readings.
func readPoints(name string) (points []*pb.RecallPoint, err error) {
	err = readTable(name, pointColumns, func(t *tableRow) error {
		unit, err := gauge.ParseUnit(t.cell("unit"), gauge.KindLength)
		if err != nil {
			return t.errorf("unit", "%w", err)
		}
		p := &pb.RecallPoint{
			MasterId: t.cell("master"), Reading: t.cell("reading"), Error: t.cell("error"), StandardUncertainty: t.cell("standard_uncertainty"),
			Unit: message.Unit(unit),
		}
		for _, column := range []string{"reading", "error", "standard_uncertainty"} {
			text := t.cell(column)
			if text == "" && column == "standard_uncertainty" {
				continue
			}
			if _, err := gauge.ParseLength(text, unit); err != nil {
				return t.errorf(column, "%w", err)
			}
		}
		points = append(points, p)
		return nil
	})
	if err == nil && len(points) == 0 {
		err = fmt.Errorf("%s: the file has no errors under its line of column names", name)
	}
	return points, err
}
