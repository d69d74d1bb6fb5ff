package station

import (
	"context"
	"time"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/library"
)

// lookAtDisk is how long the start of a job waits to learn what stands on disk.
const lookAtDisk = time.Second

// edited warns of files of a procedure that were edited and are not in force: who edited
// them may think that this job follows them.
func (s *Station) edited(ctx context.Context, p *procedure.Procedure, families procedure.Families) (warnings []gauge.Message) {
	if s.o.Edited == nil {
		return nil
	}
	ctx, cancel := context.WithTimeout(ctx, lookAtDisk)
	defer cancel()
	warn := func(kind, id, hash, code string) {
		f, err := s.Library().File(kind, id)
		if err == nil && f.Hash == hash && s.o.Edited(ctx, f) {
			warnings = append(warnings, gauge.Say(code, gauge.Text("id", id)))
		}
	}
	warn(library.KindProcedure, p.ID, p.Hash, "warning.edited.procedure")
	for _, id := range p.FamilyIDs() {
		warn(library.KindParts, id, families[id].Hash, "warning.edited.parts")
	}
	return warnings
}
