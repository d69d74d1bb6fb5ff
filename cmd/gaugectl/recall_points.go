package main

import (
	"gauged/internal/gauge"
	"gauged/internal/server/message"
	"gauged/internal/table"

	pb "gauged/api/gauged/v1"
)

// pointColumns are the columns of a file of errors.
var pointColumns = append(table.Needed("reading", "error", "unit"), table.Optional("standard_uncertainty", "master")...)

// readPoints reads the error of a gauge at several readings.
func readPoints(name string) (points []*pb.RecallPoint, err error) {
	err = readTable(name, table.Form{Columns: pointColumns}, func(r *table.Row) {
		unit := lengthUnit(r, gauge.UnitUnknown)
		length(r, "reading", unit)
		length(r, "error", unit)
		if r.Text("standard_uncertainty") != "" {
			length(r, "standard_uncertainty", unit)
		}
		points = append(points, &pb.RecallPoint{
			MasterId: r.Text("master"), Reading: r.Number("reading"), Error: r.Number("error"), StandardUncertainty: r.Number("standard_uncertainty"),
			Unit: message.Unit(unit),
		})
	})
	return points, err
}
