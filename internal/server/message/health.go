package message

import (
	"fmt"
	"math"
	"time"

	"google.golang.org/protobuf/types/known/durationpb"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/station"

	gaugedv1 "gauged/api/gauged/v1"
)

var standings = []pair[station.Standing, gaugedv1.Standing]{
	{"", gaugedv1.Standing_STANDING_UNSPECIFIED},
	{station.InService, gaugedv1.Standing_STANDING_IN_SERVICE},
	{station.Suspect, gaugedv1.Standing_STANDING_SUSPECT},
	{station.Away, gaugedv1.Standing_STANDING_OUT_FOR_CALIBRATION},
	{station.Retired, gaugedv1.Standing_STANDING_RETIRED},
}

var checkVerdicts = []pair[check.Verdict, gaugedv1.CheckVerdict]{
	{"", gaugedv1.CheckVerdict_CHECK_VERDICT_UNSPECIFIED},
	{check.Pass, gaugedv1.CheckVerdict_CHECK_VERDICT_PASS},
	{check.Fail, gaugedv1.CheckVerdict_CHECK_VERDICT_FAIL},
	{check.Undecided, gaugedv1.CheckVerdict_CHECK_VERDICT_UNDECIDED},
	{check.Unlimited, gaugedv1.CheckVerdict_CHECK_VERDICT_NO_LIMIT},
}

// Standing returns whether a gauge may be used.
func Standing(s station.Standing) gaugedv1.Standing { return contract(standings, s) }

// FromStanding is the reverse; a word that is not known is empty.
func FromStanding(s gaugedv1.Standing) station.Standing {
	standing, _ := own(standings, s)
	return standing
}

// Standings returns the changes of a standing.
func Standings(changes []station.StandingChange) (all []*gaugedv1.StandingChange) {
	for _, c := range changes {
		all = append(all, &gaugedv1.StandingChange{Seq: c.Seq, Time: timestamp(c.Time), By: c.By, Standing: Standing(c.Standing), Reason: c.Why})
	}
	return all
}

// Master returns a known value in a unit, the millimetre when that is not known, as of now.
func Master(m check.Master, u gauge.Unit, now time.Time) *gaugedv1.Master {
	return &gaugedv1.Master{Id: m.ID, Title: m.Title, Value: exact(m.Value, u), Due: timestamp(m.Due), Overdue: m.Overdue(now)}
}

// Health returns how far a gauge can be trusted, as of now.
func Health(gaugeID string, h *station.Health, u gauge.Unit, now time.Time) *gaugedv1.GaugeHealth {
	m := &gaugedv1.GaugeHealth{
		GaugeId: gaugeID, Standing: Standing(h.Standing), StandingReason: h.Why, StandingSince: timestamp(h.Since),
		Plan: plan(h.Plan, u), Overdue: h.Overdue(now), DueReason: h.DueNow(gaugeID, now), Checks: uint64(h.Checks), Charts: h.ChartNow(),
	}
	if due := h.Due(); due.Unix() > 0 {
		m.Due = timestamp(due)
	}
	if h.Last != nil {
		m.LastCheck = Check(h.Last, u)
	}
	if h.LastZero != nil {
		m.LastZeroReturn = Check(h.LastZero, u)
	}
	for _, s := range h.Pointing() {
		m.Signals = append(m.Signals, &gaugedv1.ChartSignal{Chart: s.Chart, Point: s.Point, What: s.What})
	}
	m.JobsSinceCheck = uint64(h.Use.SinceCheck())
	advice, without := h.Advice()
	for _, a := range advice {
		m.Advice = append(m.Advice, &gaugedv1.IntervalAdvice{Unit: a.Unit, Method: a.Method, Change: string(a.Change), Next: a.Next, Reasons: a.Reasons, Observed: a.Observed, Point: a.Point})
	}
	m.AdviceRefused = without
	trend := h.Trend()
	if trend == nil {
		m.RateRefused = without[0]
		return m
	}
	worst := trend.Worst()
	rate := worst.ByTime
	if rate == nil {
		m.RateRefused = worst.ByTimeRefused
		return m
	}
	m.Rate = &gaugedv1.DriftRate{Point: worst.Point, Rate: rate.Rate, StandardError: rate.RateError, Significant: rate.Significant, Doubt: rate.Doubt}
	if reach := rate.Reach; reach != nil && reach.Significant {
		m.Rate.LimitReached, m.Rate.LimitReachedEarly = timestamp(worst.Date(reach.X)), timestamp(worst.Date(reach.Early))
	}
	return m
}

func plan(p *check.Plan, u gauge.Unit) *gaugedv1.CheckPlan {
	if p == nil {
		return nil
	}
	m := &gaugedv1.CheckPlan{
		EveryDays: uint32(p.Every / (24 * time.Hour)), Masters: p.Masters, Repeats: uint32(p.Repeats), BothWays: p.BothWays, Blocks: p.Blocks,
		BeforeEachJob: p.BeforeEach, AfterEachJob: p.AfterEach,
	}
	if p.BeforeWithin > 0 {
		m.BeforeJobWithin = durationpb.New(p.BeforeWithin)
	}
	if p.ZeroWithin != nil {
		m.ZeroReturnWithin = exact(*p.ZeroWithin, u)
	}
	return m
}

// referenceTemperature is that at which lengths are stated (ISO 1).
var referenceTemperature = gauge.MustLength("20", gauge.DegreeCelsius)

// FromTemperature reads degrees Celsius and a tolerance in kelvin; nil when none is
// given.
func FromTemperature(degrees, tolerance string) (*check.Temperature, error) {
	if degrees == "" {
		if tolerance != "" {
			return nil, fmt.Errorf("%w: a tolerance without a temperature says nothing", gauge.ErrInput)
		}
		return nil, nil
	}
	at, err := gauge.ParseLength(degrees, gauge.DegreeCelsius)
	if err != nil {
		return nil, fmt.Errorf("%w: temperature: %w", gauge.ErrInput, err)
	}
	t := &check.Temperature{Above: at - referenceTemperature}
	if tolerance == "" {
		return t, believed(t)
	}
	if t.Tolerance, err = gauge.ParseLength(tolerance, gauge.Kelvin); err != nil || t.Tolerance < 0 {
		return nil, fmt.Errorf("%w: tolerance of the temperature: %q is no number of kelvin, 0 or more", gauge.ErrInput, tolerance)
	}
	return t, believed(t)
}

func believed(t *check.Temperature) error {
	if err := t.Plausible(); err != nil {
		return fmt.Errorf("%w: %w", gauge.ErrInput, err)
	}
	return nil
}

// Check returns a stored check in a unit.
func Check(c *check.Record, u gauge.Unit) *gaugedv1.MasterCheck {
	m := &gaugedv1.MasterCheck{Seq: c.Seq, Time: timestamp(c.Time), By: c.By, Occasion: c.Occasion, Remark: c.Remark, Found: checkResult(c.Result, u), ZeroReturn: c.Zero, Partial: c.Partial, JobId: c.Job, Uses: c.Uses}
	for i, p := range c.Result.Points {
		m.Found.Points[i].IndependentUncertainty, m.Found.Points[i].SharedUncertainty = c.Parted(p)
	}
	if p := c.Past; p != nil {
		m.Past = &gaugedv1.PastOrigin{Place: p.Place, Certificate: p.Certificate, Came: timestamp(p.Came), BroughtBy: p.Brought}
	}
	if v := c.Voided; v != nil {
		m.Voided = &gaugedv1.VoidedCheck{Time: timestamp(v.Time), By: v.By, Reason: v.Reason}
	}
	if c.Left != nil {
		m.Left = checkResult(*c.Left, u)
	}
	return m
}

func checkResult(r check.Result, u gauge.Unit) *gaugedv1.CheckResult {
	m := &gaugedv1.CheckResult{
		Error: rounded(r.Error, u), Worst: checkPoint(r.Worst, u), Hysteresis: optionalIn(r.Hysteresis, u), Limit: optionalIn(r.Limit, u),
		Verdict: contract(checkVerdicts, r.Verdict), StandardUncertainty: r.Standard, PooledSpread: r.Spread, DegreesOfFreedom: uint32(r.Freedom),
		Decides: checkPoint(r.Decides(), u),
	}
	for _, p := range r.Points {
		m.Points = append(m.Points, checkPoint(p, u))
	}
	return m
}

func checkPoint(p check.PointResult, u gauge.Unit) *gaugedv1.CheckPointResult {
	m := &gaugedv1.CheckPointResult{
		Master: p.Master, Falling: p.Falling, Mean: rounded(p.Mean, u), Reference: rounded(p.Reference, u), Error: rounded(p.Error, u),
		ExpandedUncertainty: rounded(p.Expanded(), u), Repeats: uint32(p.Repeats),
		Verdict: contract(checkVerdicts, p.Verdict), K: p.Coverage(), EffectiveFreedom: p.Freedom, ScatterUnknown: p.ScatterUnknown, ScatterLarger: p.ScatterLarger, Uncorrected: optionalIn(p.Uncorrected, u), ExpansionUnstated: optionalIn(p.Unstated, u),
	}
	if p.Within != nil {
		within := p.Within.Float()
		m.Within = &within
	}
	if p.Repeats > 1 {
		m.Spread = rounded(gauge.Length(math.Round(p.Spread*1e12)), u)
	}
	return m
}

// inUnit is the unit in which lengths of a gauge are shown.
func inUnit(u gauge.Unit) gauge.Unit {
	if u.Known() {
		return u
	}
	return gauge.Millimetre
}

// exact writes a length without rounding.
func exact(l gauge.Length, u gauge.Unit) *gaugedv1.Length {
	u = inUnit(u)
	return shown(l, l.Text(u, decimals(u, l)), u)
}

// rounded writes a length to a tenth of a micrometre or about as much: what is
// computed has more digits than it has meaning.
func rounded(l gauge.Length, u gauge.Unit) *gaugedv1.Length {
	u = inUnit(u)
	digits := 4
	switch u {
	case gauge.Inch:
		digits = 6
	case gauge.Micrometre:
		digits = 1
	}
	return shown(l, l.Text(u, digits), u)
}

func optionalIn(l *gauge.Length, u gauge.Unit) *gaugedv1.Length {
	if l == nil {
		return nil
	}
	return rounded(*l, u)
}
