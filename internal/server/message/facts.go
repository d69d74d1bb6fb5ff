package message

import (
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// JobFact returns one stored step of a job of the procedure; the fact must be one. What
// cannot be read of it is left out.
func JobFact(p *procedure.Procedure, f gauge.Fact) *gaugedv1.JobFact {
	m := &gaugedv1.JobFact{Seq: f.Seq, Time: wire.Time(f.Job.Time), By: f.Job.By}
	switch f.Job.Kind {
	case job.KindStarted:
		m.Step = &gaugedv1.JobFact_Started{Started: started(read[job.StartedData](f))}
	case job.KindAcknowledged:
		m.Step = &gaugedv1.JobFact_CautionsRead{CautionsRead: &gaugedv1.CautionsRead{}}
	case job.KindTaken:
		d := read[job.TakenData](f)
		m.Step = &gaugedv1.JobFact_Taken{Taken: &gaugedv1.ReadingTaken{ReadingSeq: d.Reading, FromSeq: d.From, Measurement: d.Measurement}}
	case job.KindDiscarded:
		d := read[job.DiscardedData](f)
		m.Step = &gaugedv1.JobFact_Discarded{Discarded: &gaugedv1.ReadingDiscarded{ReadingSeq: d.Reading, Reason: d.Reason}}
	case job.KindChosen:
		d := read[job.ChosenData](f)
		m.Step = &gaugedv1.JobFact_Chosen{Chosen: &gaugedv1.PartChosen{Place: d.Place, Part: d.Part, Reason: d.Reason}}
	case job.KindFitted:
		d := read[job.FittedData](f)
		fitted := &gaugedv1.PartFitted{Place: d.Place, Part: d.Part}
		if d.Thickness != nil {
			fitted.Thickness = wire.Quantity(*d.Thickness, d.Shown, d.Unit)
		}
		m.Step = &gaugedv1.JobFact_Fitted{Fitted: fitted}
	case job.KindVerdict:
		verdict := &gaugedv1.VerdictReached{Outcome: wire.Outcome(read[job.VerdictData](f).Outcome)}
		if e, err := job.Unmarshal[evaluate.Evaluation](f.Job); err == nil {
			verdict.Evaluation = wire.Evaluation(p, e)
		}
		m.Step = &gaugedv1.JobFact_Verdict{Verdict: verdict}
	case job.KindVerified:
		m.Step = &gaugedv1.JobFact_VerdictSigned{VerdictSigned: &gaugedv1.VerdictSigned{}}
	case job.KindRound:
		m.Step = &gaugedv1.JobFact_Round{Round: round(p, read[job.RoundData](f))}
	case job.KindAside:
		d := read[job.AsideData](f)
		m.Step = &gaugedv1.JobFact_SetAside{SetAside: &gaugedv1.JobSetAside{Reason: d.Reason, MeantFor: d.For}}
	case job.KindResumed:
		d := read[job.ResumedData](f)
		m.Step = &gaugedv1.JobFact_Resumed{Resumed: &gaugedv1.JobResumed{
			GaugeIds: d.Gauges, Abilities: abilities(d.Abilities), TypedGaugeIds: d.Typed, LetGoGaugeIds: d.LetGo, Warnings: wire.Messages(d.Warnings),
		}}
	case job.KindGauges:
		d := read[job.GaugesData](f)
		m.Step = &gaugedv1.JobFact_GaugesChanged{GaugesChanged: &gaugedv1.GaugesChanged{
			GaugeIds: d.Gauges, GaugeIdsBefore: d.Before, Reason: d.Reason, Abilities: abilities(d.Abilities), TypedGaugeIds: d.Typed, Warnings: wire.Messages(d.Warnings),
		}}
	case job.KindSerial:
		d := read[job.SerialData](f)
		m.Step = &gaugedv1.JobFact_UnitSerialCorrected{UnitSerialCorrected: &gaugedv1.UnitSerialCorrected{UnitSerial: d.Serial, Before: d.Before, Reason: d.Reason}}
	case job.KindLabelled:
		d := read[job.LabelledData](f)
		m.Step = &gaugedv1.JobFact_Labelled{Labelled: &gaugedv1.JobLabelled{Labels: d.Labels, Before: d.Before, Reason: d.Reason}}
	case job.KindClosed:
		d := read[job.ClosedData](f)
		m.Step = &gaugedv1.JobFact_Closed{Closed: &gaugedv1.JobClosed{Reason: d.Reason, Warnings: wire.Messages(d.Warnings)}}
	}
	return m
}

// read decodes the data of a fact, as far as it can be.
func read[T any](f gauge.Fact) T {
	data, _ := job.Unmarshal[T](f.Job)
	return data
}

func started(d job.StartedData) *gaugedv1.JobStarted {
	m := &gaugedv1.JobStarted{UnitSerial: d.UnitSerial, Labels: d.Labels, ProcedureHash: d.ProcedureHash, GaugeIds: d.Gauges, TypedGaugeIds: d.Typed, Warnings: wire.Messages(d.Warnings)}
	if d.PartsHash != "" {
		m.PartFamilyHashes = append([]string{d.PartsHash}, d.OtherParts...)
	}
	m.Abilities = abilities(d.Abilities)
	return m
}

// abilities are those of gauges by their measurements; nil for none.
func abilities(known map[string]gauge.Ability) map[string]*gaugedv1.GaugeAbility {
	if len(known) == 0 {
		return nil
	}
	all := map[string]*gaugedv1.GaugeAbility{}
	for name, a := range known {
		all[name] = ability(a)
	}
	return all
}

func ability(a gauge.Ability) *gaugedv1.GaugeAbility {
	exact := func(l *gauge.Length) *gaugedv1.Quantity {
		if l == nil {
			return nil
		}
		return wire.Exact(*l, a.Unit)
	}
	m := &gaugedv1.GaugeAbility{Resolution: exact(a.Resolution), Error: exact(a.Error), Varies: exact(a.Varies)}
	if c := a.Calibration; c != nil {
		m.Calibration, m.CalibrationK = exact(&c.Uncertainty), number(c.K)
	}
	if r := a.Repeats; r != nil {
		m.UsualDeviation, m.DegreesOfFreedom = exact(&r.Deviation), float64(r.Freedom)
	}
	if x := a.Expansion; x != nil {
		m.Expansion = number(x.PerKelvin)
		if x.Tolerance != nil {
			m.ExpansionTolerance = number(*x.Tolerance)
		}
	}
	return m
}

// number is a plain number, which is kept in billionths.
func number(l gauge.Length) *float64 {
	n := float64(l) / float64(gauge.One.Size())
	return &n
}

func round(p *procedure.Procedure, d job.RoundData) *gaugedv1.RoundBegun {
	m := &gaugedv1.RoundBegun{Over: uint32(d.Round), Outcome: wire.Outcome(d.Outcome), ReadingSeqs: d.Readings}
	for _, part := range d.Parts {
		m.Fitted = append(m.Fitted, wire.FittedPart(p, &procedure.Fitted{Place: part.Place, Part: part.Part, Thickness: part.Thickness, Measured: part.Measured}))
	}
	return m
}
