package wire

import (
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/words"

	gaugedv1 "gauged/api/gauged/v1"
)

// FromPastChecks reads checks of the past, and returns everything that cannot be read
// with the index of its check.
func FromPastChecks(checks []*gaugedv1.PastCheck) (all []health.PastCheck, problems []health.ImportProblem) {
	for i, m := range checks {
		wrong := func(m gauge.Message) {
			problems = append(problems, health.ImportProblem{Check: i, Message: m})
		}
		c := health.PastCheck{By: m.GetBy(), Place: m.GetPlace(), Certificate: m.GetCertificate(), Occasion: m.GetOccasion(), Remark: m.GetRemark()}
		if m.GetTime() != nil {
			c.Time = m.GetTime().AsTime()
		}
		c.Found, c.Left = fromPastPoints(m.GetFound(), wrong), fromPastPoints(m.GetLeft(), wrong)
		all = append(all, c)
	}
	return all, problems
}

func fromPastPoints(points []*gaugedv1.PastPoint, wrong func(gauge.Message)) (all []check.Stated) {
	for _, p := range points {
		u, one := FromUnit(p.GetUnit()), check.Stated{Master: p.GetMasterId(), Falling: p.GetFalling()}
		master := gauge.Text("master", one.Master)
		if one.Master == "" {
			wrong(gauge.Say("refusal.import.no-master"))
		}
		if u.Kind() != gauge.KindLength {
			wrong(gauge.Say("refusal.import.unit", master))
			continue
		}
		for _, x := range []struct {
			what, text string
			unit       gauge.Unit
			to         *gauge.Length
		}{
			{"because.stated.value", p.GetValue(), u, &one.Value},
			{"because.stated.error", p.GetError(), u, &one.Error},
			{"because.stated.uncertainty", p.GetUncertainty(), u, &one.Uncertainty.Uncertainty},
			{"because.stated.coverage", p.GetK(), gauge.One, &one.Uncertainty.K},
		} {
			l, err := gauge.ParseLength(x.text, x.unit)
			if err != nil {
				wrong(gauge.Say("refusal.import.number", gauge.Word("what", x.what), master, gauge.Because("why", err)))
			}
			*x.to = l
		}
		all = append(all, one)
	}
	return all
}

// ImportProblem returns what is wrong with one check.
func ImportProblem(p health.ImportProblem) *gaugedv1.ImportProblem {
	return &gaugedv1.ImportProblem{CheckIndex: uint32(p.Check), Text: words.In(words.English).Tell(p.Message), Message: Message(p.Message)}
}
