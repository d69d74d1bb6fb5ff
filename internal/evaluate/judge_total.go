package evaluate

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// totalOfPlaces is how the sum of the parts of places that are chosen together is
// called.
const totalOfPlaces = "total of the places"

// judgeTotal compares what the fitted parts make together with what the places want,
// once all of them are fitted.
func (w *work) judgeTotal() Outcome {
	if w.e.Together == nil {
		return complete
	}
	total, measured := gauge.Length(0), gauge.Length(0)
	for _, f := range w.fits {
		if f.fit.Fitted == nil || f.fit.Fitted.Thickness == nil {
			return complete
		}
		total += f.counted()
		measured += *f.fit.Fitted.Thickness
	}
	if total != measured {
		w.tell(FindingStamped, "found.total_as_stamped", w.P.Tell("total", total), w.P.Tell("measured", measured))
	}
	wanted, within := w.e.Together.Wanted, w.e.Together.Within
	low, high := wanted-within, wanted+within
	g := Judgement{Name: totalOfPlaces, Value: total, Unit: w.P.Unit, Allowed: procedure.Limits{Min: &low, Max: &high}, Outcome: Conforms, Rule: ruleSimple}
	if !g.Allowed.Contains(total) {
		g.Outcome = DoesNotConform
		w.tell(FindingTotal, "found.total_missed", w.P.Tell("total", total), w.P.Tell("wanted", wanted), w.P.Tell("within", within))
	}
	w.e.Judgements = append(w.e.Judgements, g)
	return g.Outcome
}

// counted is how thick a fitted part counts in the total. Where the procedure does not
// say by how much that may be off, it may be off by half a step, which is what stamping
// rounds by: a grade that measures nearer to its own size than to another then counts
// as it is stamped.
func (w *fitting) counted() gauge.Length {
	fitted := w.fit.Fitted
	if w.P.Together.Within == nil && fitted.Measured {
		if g, ok := w.gradeOf(fitted.Part); ok && g.Thickness != nil && near(*fitted.Thickness, *g.Thickness, w.family.HalfStep()) {
			return *g.Thickness
		}
	}
	return *fitted.Thickness
}
