package wire

import (
	"fmt"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"

	gaugedv1 "gauged/api/gauged/v1"
)

// FromPastChecks reads checks of the past, and returns everything that cannot be read
// with the index of its check.
func FromPastChecks(checks []*gaugedv1.PastCheck) (all []health.PastCheck, problems []health.ImportProblem) {
	for i, m := range checks {
		wrong := func(text string) { problems = append(problems, health.ImportProblem{Check: i, Text: text}) }
		c := health.PastCheck{By: m.GetBy(), Place: m.GetPlace(), Certificate: m.GetCertificate(), Occasion: m.GetOccasion(), Remark: m.GetRemark()}
		if m.GetTime() != nil {
			c.Time = m.GetTime().AsTime()
		}
		c.Found, c.Left = fromPastPoints(m.GetFound(), wrong), fromPastPoints(m.GetLeft(), wrong)
		all = append(all, c)
	}
	return all, problems
}

func fromPastPoints(points []*gaugedv1.PastPoint, wrong func(string)) (all []check.Stated) {
	for _, p := range points {
		u, one := FromUnit(p.GetUnit()), check.Stated{Master: p.GetMasterId(), Falling: p.GetFalling()}
		if one.Master == "" {
			wrong("the name of a master is missing")
		}
		if u.Kind() != gauge.KindLength {
			wrong(fmt.Sprintf("the error at %s needs a unit of length: mm, in or um", p.GetMasterId()))
			continue
		}
		for _, x := range []struct {
			what, text string
			unit       gauge.Unit
			to         *gauge.Length
		}{
			{"value", p.GetValue(), u, &one.Value},
			{"error", p.GetError(), u, &one.Error},
			{"uncertainty", p.GetUncertainty(), u, &one.Uncertainty.Uncertainty},
			{"coverage factor", p.GetK(), gauge.One, &one.Uncertainty.K},
		} {
			l, err := gauge.ParseLength(x.text, x.unit)
			if err != nil {
				wrong(fmt.Sprintf("the %s at %s: %v", x.what, p.GetMasterId(), err))
			}
			*x.to = l
		}
		all = append(all, one)
	}
	return all
}
