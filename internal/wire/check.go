package wire

import (
	"time"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/health/check"

	"google.golang.org/protobuf/types/known/durationpb"
)

var checkVerdicts = []Pair[check.Verdict, gaugedv1.CheckVerdict]{
	{"", gaugedv1.CheckVerdict_CHECK_VERDICT_UNSPECIFIED},
	{check.Pass, gaugedv1.CheckVerdict_CHECK_VERDICT_PASS},
	{check.Fail, gaugedv1.CheckVerdict_CHECK_VERDICT_FAIL},
	{check.Undecided, gaugedv1.CheckVerdict_CHECK_VERDICT_UNDECIDED},
	{check.Unlimited, gaugedv1.CheckVerdict_CHECK_VERDICT_NO_LIMIT},
}

// CheckVerdict returns the verdict of the contract.
func CheckVerdict(v check.Verdict) gaugedv1.CheckVerdict { return Contract(checkVerdicts, v) }

// Master returns a known value in a unit, the millimetre when that is not known, as of now.
func Master(m check.Master, u gauge.Unit, now time.Time) *gaugedv1.Master {
	return &gaugedv1.Master{Id: m.ID, Title: m.Title, Value: Exact(m.Value, u), DueTime: Time(m.Due), Overdue: m.Overdue(now)}
}

// Plan returns how a gauge is to be checked; absent for none.
func Plan(p *check.Plan, u gauge.Unit) *gaugedv1.CheckPlan {
	if p == nil {
		return nil
	}
	m := &gaugedv1.CheckPlan{
		EveryDays: uint32(p.Every / (24 * time.Hour)), MasterIds: p.Masters, Repeats: uint32(p.Repeats), BothWays: p.BothWays, Blocks: p.Blocks,
		BeforeEachJob: p.BeforeEach, AfterEachJob: p.AfterEach,
	}
	if p.BeforeWithin > 0 {
		m.BeforeJobWithin = durationpb.New(p.BeforeWithin)
	}
	if p.ZeroWithin != nil {
		m.ZeroReturnWithin = Exact(*p.ZeroWithin, u)
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
			return nil, gauge.WrongInput("refusal.temperature.alone")
		}
		return nil, nil
	}
	at, err := gauge.ParseLength(degrees, gauge.DegreeCelsius)
	if err != nil {
		return nil, gauge.WrongInput("refusal.temperature.number", gauge.Because("why", err))
	}
	t := &check.Temperature{Above: at - referenceTemperature}
	if tolerance == "" {
		return t, believed(t)
	}
	if t.Tolerance, err = gauge.ParseLength(tolerance, gauge.Kelvin); err != nil || t.Tolerance < 0 {
		return nil, gauge.WrongInput("refusal.temperature.tolerance", gauge.Text("tolerance", tolerance))
	}
	return t, believed(t)
}

func believed(t *check.Temperature) error {
	if err := t.Plausible(); err != nil {
		return gauge.WrongInput("refusal.temperature.not-believed", gauge.Because("why", err))
	}
	return nil
}

// Check returns a stored check in a unit.
func Check(c *check.Record, u gauge.Unit) *gaugedv1.MasterCheck {
	m := &gaugedv1.MasterCheck{Seq: c.Seq, Time: Time(c.Time), By: c.By, Occasion: c.Occasion, Remark: c.Remark, Found: checkResult(c.Result, u), ZeroReturn: c.Zero, Partial: Message(c.Partial), JobId: c.Job, UseCount: c.Uses}
	for i, p := range c.Result.Points {
		independent, shared := c.Parted(p)
		m.Found.Points[i].IndependentUncertainty, m.Found.Points[i].SharedUncertainty = Estimate(independent, u), Estimate(shared, u)
	}
	if p := c.Past; p != nil {
		m.Past = &gaugedv1.PastOrigin{Place: p.Place, Certificate: p.Certificate, ImportTime: Time(p.Came), ImportedBy: p.Brought}
	}
	if v := c.Voided; v != nil {
		m.Voided = &gaugedv1.VoidedCheck{Time: Time(v.Time), By: v.By, Reason: v.Reason}
	}
	if c.Left != nil {
		m.Left = checkResult(*c.Left, u)
	}
	return m
}

func checkResult(r check.Result, u gauge.Unit) *gaugedv1.CheckResult {
	m := &gaugedv1.CheckResult{
		Error: rounded(r.Error, u), Worst: checkPoint(r.Worst, u), Hysteresis: optionalIn(r.Hysteresis, u), Limit: optionalIn(r.Limit, u),
		Verdict: CheckVerdict(r.Verdict), StandardUncertainty: Estimate(r.Standard, u), DegreesOfFreedom: float64(r.Freedom),
		Decides: checkPoint(r.Decides(), u),
	}
	if r.Freedom > 0 {
		m.PooledStandardDeviation = Estimate(r.Spread, u)
	}
	for _, p := range r.Points {
		m.Points = append(m.Points, checkPoint(p, u))
	}
	return m
}

func checkPoint(p check.PointResult, u gauge.Unit) *gaugedv1.CheckPointResult {
	m := &gaugedv1.CheckPointResult{
		MasterId: p.Master, Falling: p.Falling, Mean: rounded(p.Mean, u), Reference: rounded(p.Reference, u), Error: rounded(p.Error, u),
		ExpandedUncertainty: rounded(p.Expanded(), u), Repeats: uint32(p.Repeats),
		Verdict: CheckVerdict(p.Verdict), K: p.Coverage(), DegreesOfFreedom: p.Freedom, ScatterUnknown: p.ScatterUnknown, ScatterLarger: p.ScatterLarger, Uncorrected: optionalIn(p.Uncorrected, u), ExpansionUnstated: optionalIn(p.Unstated, u),
	}
	if p.Within != nil {
		within := p.Within.Float()
		m.Probability = &within
	}
	if p.Repeats > 1 {
		m.StandardDeviation = rounded(gauge.OfMetres(p.Spread), u)
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

// Exact writes a length without rounding.
func Exact(l gauge.Length, u gauge.Unit) *gaugedv1.Quantity {
	u = inUnit(u)
	return Quantity(l, l.Text(u, decimals(u, l)), u)
}

// rounded writes a length to a tenth of a micrometre or about as much: what is
// computed has more digits than it has meaning.
func rounded(l gauge.Length, u gauge.Unit) *gaugedv1.Quantity {
	u = inUnit(u)
	digits := 4
	switch u {
	case gauge.Inch:
		digits = 6
	case gauge.Micrometre:
		digits = 1
	}
	return Quantity(l, l.Text(u, digits), u)
}

func optionalIn(l *gauge.Length, u gauge.Unit) *gaugedv1.Quantity {
	if l == nil {
		return nil
	}
	return rounded(*l, u)
}
