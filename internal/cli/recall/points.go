package recall

import (
	"gauged/internal/cli/app"
	"gauged/internal/gauge"
	"gauged/internal/table"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// pointColumns are the columns of a file of errors.
var pointColumns = append(table.Needed("reading", "error", "unit"), table.Optional("standard_uncertainty", "master")...)

// readPoints reads the error of a gauge at several readings.
func readPoints(name string) (points []*pb.RecallPoint, err error) {
	err = app.ReadTable(name, table.Form{Columns: pointColumns}, func(r *table.Row) {
		unit := app.LengthUnit(r, gauge.UnitUnknown)
		app.Length(r, "reading", unit)
		app.Length(r, "error", unit)
		if r.Text("standard_uncertainty") != "" {
			app.Length(r, "standard_uncertainty", unit)
		}
		points = append(points, &pb.RecallPoint{
			MasterId: r.Text("master"), Reading: r.Number("reading"), Error: r.Number("error"), StandardUncertainty: r.Number("standard_uncertainty"),
			Unit: wire.Unit(unit),
		})
	})
	return points, err
}
