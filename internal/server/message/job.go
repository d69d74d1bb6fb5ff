package message

import (
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/station"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// Job returns a job as it stands.
func Job(j *job.Job) *gaugedv1.Job {
	return &gaugedv1.Job{
		Id: j.ID, UnitSerial: j.UnitSerial, By: j.Technician, Procedure: wire.Procedure(j.Procedure), PartFamilies: wire.Families(j.Procedure, j.Families),
		GaugeIds: j.Gauges, Stage: Stage(j.Stage), Measuring: j.Measuring, Evaluation: wire.Evaluation(j.Procedure, j.Evaluation),
		ChosenParts: chosenParts(j), StartTime: wire.Time(j.Started), CloseTime: wire.Time(j.Closed), CloseReason: j.CloseReason,
		LastSeq: j.LastSeq, Verified: j.Verified, Warnings: wire.Messages(j.Warnings), TypedGaugeIds: j.Typed, CautionsAcknowledgedBy: j.Acknowledged, Notice: wire.Message(j.Notice),
		Round: uint32(j.Round()), EarlierRounds: rounds(j), NoNextRound: why(j.GoesOn()),
		Aside: aside(j.Aside), EarlierUnitSerials: j.EarlierSerials, Labels: j.Labels, ToldWarningCount: uint32(len(j.Told)),
	}
}

// aside is why a job waits; nil: it does not.
func aside(a *job.Aside) *gaugedv1.JobAside {
	if a == nil {
		return nil
	}
	return &gaugedv1.JobAside{Reason: a.Reason, MeantFor: a.For, By: a.By, Time: wire.Time(a.Since)}
}

// rounds are the earlier rounds of a job.
func rounds(j *job.Job) (all []*gaugedv1.Round) {
	for _, r := range j.Rounds {
		m := &gaugedv1.Round{Number: uint32(r.Number), Outcome: wire.Outcome(r.Outcome), EndedSeq: r.Ended}
		for _, f := range r.Fitted {
			m.Fitted = append(m.Fitted, wire.FittedPart(j.Procedure, &f))
		}
		for _, g := range r.Results {
			m.Results = append(m.Results, wire.Judgement(j.Procedure, g))
		}
		all = append(all, m)
	}
	return all
}

// why is an error as a message; nil for none.
func why(err error) *gaugedv1.Message {
	if err == nil {
		return nil
	}
	return wire.Message(gauge.Told(err))
}

// MotionProgress returns how far a capture from a moving indicator has come.
func MotionProgress(m station.Motion) *gaugedv1.MotionProgress {
	p := &gaugedv1.MotionProgress{
		Capture: wire.Capture(m.Kind), Wanted: uint32(m.Wanted), Faults: m.Faults, Resting: m.Resting,
		Now: Reading(m.Now),
	}
	unit := m.Now.Reading.Unit
	_, digits, _ := strings.Cut(m.Now.Reading.Shown, ".")
	for _, play := range m.Plays {
		p.Plays = append(p.Plays, wire.Quantity(play, play.Text(unit, len(digits)), unit))
	}
	return p
}

// chosenParts are the parts settled on, in the order of their places.
func chosenParts(j *job.Job) (all []*gaugedv1.ChosenPart) {
	for _, place := range j.Procedure.EachPlace() {
		if part := j.Chosen[place.Name]; part != "" {
			all = append(all, &gaugedv1.ChosenPart{Place: place.Name, Part: part})
		}
	}
	return all
}
