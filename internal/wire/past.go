package wire

import (
	"slices"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/words"

	gaugedv1 "gauged/api/gauged/v1"
)

// FromPastChecks reads checks of the past, and returns everything that cannot be read.
func FromPastChecks(checks []*gaugedv1.PastCheck) (all []health.PastCheck, unread []health.ImportProblem) {
	for i, m := range checks {
		c := health.PastCheck{By: m.GetBy(), Place: m.GetPlace(), Certificate: m.GetCertificate(), Occasion: m.GetOccasion(), Remark: m.GetRemark()}
		if m.GetTime() != nil {
			c.Time = m.GetTime().AsTime()
		}
		for k, p := range slices.Concat(m.GetFound(), m.GetLeft()) {
			one := fromPastPoint(p, func(field string, m gauge.Message) {
				unread = append(unread, health.ImportProblem{Check: i, Point: k + 1, Field: field, Message: m})
			})
			if k < len(m.GetFound()) {
				c.Found = append(c.Found, one)
			} else {
				c.Left = append(c.Left, one)
			}
		}
		all = append(all, c)
	}
	return all, unread
}

func fromPastPoint(p *gaugedv1.PastPoint, wrong func(field string, m gauge.Message)) check.Stated {
	u, one := FromUnit(p.GetUnit()), check.Stated{Master: p.GetMasterId(), Falling: p.GetFalling()}
	master := gauge.Text("master", one.Master)
	if one.Master == "" {
		wrong("master_id", gauge.Say("refusal.import.no-master"))
	}
	length := u.Kind() == gauge.KindLength
	if !length {
		wrong("unit", gauge.Say("refusal.import.unit", master))
	}
	for _, x := range []struct {
		field, what, text string
		unit              gauge.Unit
		to                *gauge.Length
	}{
		{"value", "because.stated.value", p.GetValue(), u, &one.Value},
		{"error", "because.stated.error", p.GetError(), u, &one.Error},
		{"uncertainty", "because.stated.uncertainty", p.GetUncertainty(), u, &one.Uncertainty.Uncertainty},
		{"k", "because.stated.coverage", p.GetK(), gauge.One, &one.Uncertainty.K},
	} {
		if x.unit == u && !length {
			continue // it is said of the unit
		}
		l, err := gauge.ParseLength(x.text, x.unit)
		if err != nil {
			wrong(x.field, gauge.Say("refusal.import.number", gauge.Word("what", x.what), master, gauge.Because("why", err)))
		}
		*x.to = l
	}
	return one
}

// ImportProblem returns what is wrong with one check.
func ImportProblem(p health.ImportProblem) *gaugedv1.ImportProblem {
	return &gaugedv1.ImportProblem{
		CheckIndex: uint32(p.Check), Point: uint32(p.Point), Field: p.Field,
		Text: words.In(words.English).Tell(p.Message), Message: Message(p.Message),
	}
}
