package wire

import (
	"cmp"
	"math"
	"strconv"

	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/health/study"
	"gauged/internal/words"

	gaugedv1 "gauged/api/gauged/v1"

	"google.golang.org/protobuf/types/known/structpb"
)

var studyKinds = []Pair[study.Kind, gaugedv1.StudyKind]{
	{"", gaugedv1.StudyKind_STUDY_KIND_UNSPECIFIED},
	{study.CrossedKind, gaugedv1.StudyKind_STUDY_KIND_CROSSED},
	{study.NestedKind, gaugedv1.StudyKind_STUDY_KIND_NESTED},
	{study.OneWayKind, gaugedv1.StudyKind_STUDY_KIND_ONE_WAY},
	{study.BiasKind, gaugedv1.StudyKind_STUDY_KIND_BIAS},
	{study.LinearityKind, gaugedv1.StudyKind_STUDY_KIND_LINEARITY},
	{study.StabilityKind, gaugedv1.StudyKind_STUDY_KIND_STABILITY},
	{study.CapabilityKind, gaugedv1.StudyKind_STUDY_KIND_CAPABILITY},
}

var studyWords = []Pair[study.Word, gaugedv1.StudyWord]{
	{"", gaugedv1.StudyWord_STUDY_WORD_UNSPECIFIED},
	{study.NoWord, gaugedv1.StudyWord_STUDY_WORD_NO_VERDICT},
	{study.Acceptable, gaugedv1.StudyWord_STUDY_WORD_ACCEPTABLE},
	{study.Conditional, gaugedv1.StudyWord_STUDY_WORD_CONDITIONAL},
	{study.NotAcceptable, gaugedv1.StudyWord_STUDY_WORD_NOT_ACCEPTABLE},
	{study.NoDifference, gaugedv1.StudyWord_STUDY_WORD_NO_DIFFERENCE},
	{study.Different, gaugedv1.StudyWord_STUDY_WORD_DIFFERENT},
	{study.NoBias, gaugedv1.StudyWord_STUDY_WORD_NO_BIAS},
	{study.Biased, gaugedv1.StudyWord_STUDY_WORD_BIASED},
	{study.Straight, gaugedv1.StudyWord_STUDY_WORD_STRAIGHT},
	{study.Sloped, gaugedv1.StudyWord_STUDY_WORD_SLOPED},
	{study.Stable, gaugedv1.StudyWord_STUDY_WORD_STABLE},
	{study.NotStable, gaugedv1.StudyWord_STUDY_WORD_NOT_STABLE},
	{study.Capable, gaugedv1.StudyWord_STUDY_WORD_CAPABLE},
	{study.NotCapable, gaugedv1.StudyWord_STUDY_WORD_NOT_CAPABLE},
}

// StudyKind returns what a study asks.
func StudyKind(k study.Kind) gaugedv1.StudyKind { return Contract(studyKinds, k) }

// FromStudyKind is the reverse; a kind that is not known is empty.
func FromStudyKind(k gaugedv1.StudyKind) study.Kind {
	kind, _ := Own(studyKinds, k)
	return kind
}

// StudyWord returns the verdict of a study.
func StudyWord(w study.Word) gaugedv1.StudyWord { return Contract(studyWords, w) }

// FromStudyWord is the reverse; a word that is not known is empty.
func FromStudyWord(w gaugedv1.StudyWord) study.Word {
	word, _ := Own(studyWords, w)
	return word
}

// StudyRequest reads what a study is made of.
func StudyRequest(in *gaugedv1.StudyInput) (r health.StudyRequest, err error) {
	r = health.StudyRequest{Gauge: in.GetGaugeId(), Unit: FromUnit(in.GetUnit())}
	if r.Plan, err = studyPlan(in.GetKind(), in.GetSettings()); err != nil {
		return r, err
	}
	for _, row := range in.GetRows() {
		r.Rows = append(r.Rows, health.StudyRow{
			Seq: row.GetReadingSeq(), Typed: row.GetValue(), Unit: FromUnit(row.GetUnit()), Part: row.GetPart(), Person: row.GetPerson(), Trial: row.GetTrial(),
			Group: row.GetGroup(), Day: row.GetDay(), Run: row.GetRun(), Time: row.GetTimeLabel(), Reference: row.GetReference(), Master: row.GetMasterId(),
		})
	}
	if checks := in.GetChecks(); checks != nil {
		r.Checks = &health.StoredChecks{Master: checks.GetMasterId()}
		if checks.GetSinceTime() != nil {
			r.Checks.Since = checks.GetSinceTime().AsTime()
		}
	}
	return r, nil
}

func studyPlan(kind gaugedv1.StudyKind, in *gaugedv1.StudySettings) (p study.Plan, err error) {
	p = study.Plan{
		Kind:    FromStudyKind(kind),
		Options: study.Options{Confidence: in.GetConfidence(), Spread: in.GetCoverageMultiple(), PoolAbove: in.GetPoolAbove(), Seed: cmp.Or(in.GetSeed(), 1)},
		D2Star:  in.GetD2Star(),
		Indices: study.Indices{Percent: in.GetTolerancePercent(), Spread: in.GetCoverageMultiple(), Least: in.GetLeastIndex()},
		Use:     study.Use{Repeats: int(in.GetUseRepeats()), Days: int(in.GetUseDays())},
	}
	if p.Options.Tolerance, err = aboveZero(in.GetTolerance()); err != nil {
		return p, gauge.WrongInput("refusal.study.tolerance", gauge.Because("why", err))
	}
	if p.Stated, err = aboveZero(in.GetStatedDeviation()); err != nil {
		return p, gauge.WrongInput("refusal.study.stated", gauge.Because("why", err))
	}
	return p, nil
}

// aboveZero reads a setting that is a number above 0; empty: 0.
func aboveZero(text string) (float64, error) {
	if text == "" {
		return 0, nil
	}
	number, err := study.ParseNumber(text)
	if err == nil && number.Sign() <= 0 {
		err = gauge.WrongInput("refusal.study.not-above-zero", gauge.Text("number", text))
	}
	if err != nil {
		return 0, err
	}
	return study.Float(number), nil
}

// studySettings are what a study was told besides its readings.
func studySettings(p study.Plan) *gaugedv1.StudySettings {
	s := &gaugedv1.StudySettings{
		Confidence: p.Options.Confidence, CoverageMultiple: p.Options.Spread, PoolAbove: p.Options.PoolAbove, D2Star: p.D2Star,
		TolerancePercent: p.Indices.Percent, LeastIndex: p.Indices.Least, UseRepeats: uint32(p.Use.Repeats), UseDays: uint32(p.Use.Days), Seed: p.Options.Seed,
	}
	for to, number := range map[*string]float64{&s.Tolerance: p.Options.Tolerance, &s.StatedDeviation: p.Stated} {
		if number > 0 {
			*to = strconv.FormatFloat(number, 'f', -1, 64)
		}
	}
	return s
}

// Study returns a study; whole with its readings and all figures.
func Study(r *health.StudyRecord, whole bool) *gaugedv1.Study {
	m := &gaugedv1.Study{
		Seq: r.Seq, GaugeId: r.Gauge, Kind: StudyKind(r.Plan.Kind), Time: Time(r.Time), By: r.By, Remark: r.Remark,
		Unit: Unit(r.Unit), Settings: studySettings(r.Plan), ReadingCount: uint32(len(r.Readings)), Result: studyResult(r.Headline, r.Unit),
	}
	if !whole {
		return m
	}
	figures := &structpb.Struct{}
	if figures.UnmarshalJSON(r.Figures) == nil {
		m.Result.Figures = figures
	}
	for _, one := range r.Readings {
		row := &gaugedv1.StudyRow{
			Unit: Unit(one.Unit), Part: one.Part, Person: one.Person, Trial: one.Trial,
			Group: one.Group, Day: one.Day, Run: one.Run, TimeLabel: one.Time, Reference: one.Reference, MasterId: one.Master,
		}
		switch {
		case one.Seq > 0:
			row.Reading = &gaugedv1.StudyRow_ReadingSeq{ReadingSeq: one.Seq}
		case one.Typed != "":
			row.Reading = &gaugedv1.StudyRow_Value{Value: one.Typed}
		}
		m.Readings = append(m.Readings, &gaugedv1.StudyReading{Row: row, Value: one.Value, Reference: one.Known})
	}
	return m
}

func studyResult(h study.Headline, u gauge.Unit) *gaugedv1.StudyResult {
	h = h.In(u)
	m := &gaugedv1.StudyResult{
		Word: StudyWord(h.Word), PercentStudy: h.PercentStudy, PercentTolerance: h.PercentTolerance,
		Cg: h.Cg, Cgk: h.Cgk, Notes: Messages(h.Notes),
	}
	if h.Bias != nil {
		bias := gauge.Length(math.Round(*h.Bias * float64(u.Size())))
		m.Bias = Quantity(bias, bias.Text(u, decimals(u, bias)), u)
	}
	if h.Categories != nil {
		n := int32(min(*h.Categories, 1_000_000))
		m.DistinctCategories = &n
	}
	if h.Verdict != nil {
		m.Verdict = &gaugedv1.StudyVerdict{Text: Message(h.Verdict.Text), Rule: Message(h.Verdict.Rule), Origin: words.In(words.English).Tell(h.Verdict.Origin)}
	}
	return m
}

// StudyTable is the table that a study was made of, from its readings.
func StudyTable(s *gaugedv1.Study) (*study.Table, error) {
	readings := make([]health.StudyReading, 0, len(s.GetReadings()))
	for _, r := range s.GetReadings() {
		row := r.GetRow()
		readings = append(readings, health.StudyReading{Value: r.GetValue(), Known: r.GetReference(), StudyRow: health.StudyRow{
			Part: row.GetPart(), Person: row.GetPerson(), Trial: row.GetTrial(), Group: row.GetGroup(), Day: row.GetDay(), Run: row.GetRun(), Time: row.GetTimeLabel(),
		}})
	}
	return health.StudyTable(s.GetGaugeId(), readings)
}

// UnitOf is the symbol of a unit; empty for one that is not stated.
func UnitOf(u gaugedv1.Unit) string {
	if unit := FromUnit(u); unit.Known() && unit != gauge.One {
		return unit.String()
	}
	return ""
}
