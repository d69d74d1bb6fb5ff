package config

import (
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/shopfile"
)

// zeroMaster is always there: closed faces, or a plane on which the gauge is set
// to zero.
const zeroMaster = "zero"

const day = 24 * time.Hour

// masters reads the known values that gauges are checked against.
func masters(v shopfile.Value) map[string]check.Master {
	all := map[string]check.Master{zeroMaster: {ID: zeroMaster, Title: "the faces closed, or on a plane"}}
	if !v.Given() {
		return all
	}
	for _, e := range v.Map().Names() {
		m := readMaster(e.Key.Word(), e.Value)
		if m.ID == zeroMaster {
			e.Key.Wrong(gauge.Say("station.master-zero", shopfile.Quoted("master", zeroMaster)))
		}
		all[m.ID] = m
	}
	return all
}

func readMaster(id string, v shopfile.Value) check.Master {
	m := v.Map()
	unit := m.Need("unit").Unit()
	one := check.Master{ID: id, Title: m.Get("title").Text(), Unit: unit, Value: m.Need("value").Length(unit)}
	one.Serial = m.Get("serial_number").Text()
	one.Expansion = m.Get("expansion").Expansion(gauge.MostExpansion)
	if calibration := m.Get("calibration"); calibration.Given() && unit.Known() {
		cm := calibration.Map()
		uncertainty, k := cm.Need("uncertainty"), cm.Need("k")
		one.Certified = &gauge.Expanded{Uncertainty: uncertainty.Length(unit), K: k.Length(gauge.One)}
		if one.Certified.Uncertainty <= 0 || one.Certified.K <= 0 {
			calibration.Wrong(gauge.Say("station.calibration"))
		} else if err := one.PlausibleCertificate(); err != nil {
			calibration.Wrong(gauge.Told(err))
		}
		c := check.Certificate{Number: cm.Get("certificate").Text(), Laboratory: cm.Get("laboratory").Text(), Date: readDay(cm.Get("date"))}
		if c != (check.Certificate{}) {
			one.Certificate = &c
		}
		cm.Done()
	}
	one.Due = readDay(m.Get("due"))
	m.Done()
	return one
}

// readDay is a day; zero where none is given.
func readDay(v shopfile.Value) (day time.Time) {
	if v.Given() {
		var err error
		if day, err = time.Parse(time.DateOnly, v.Text()); err != nil {
			v.Wrong(gauge.Say("station.no-day", v.As("day"), gauge.Nested("remedy", dayRemedy(v.Text()))))
		}
	}
	return day
}

// plans reads when and how gauges are checked.
func plans(v shopfile.Value, gauges map[string]bool, masters map[string]check.Master) map[string]*check.Plan {
	all := map[string]*check.Plan{}
	if !v.Given() {
		return all
	}
	for _, e := range v.Map().Entries() {
		id := e.Key.Word()
		if id != "" && !gauges[id] {
			e.Key.Wrong(gauge.Say("station.no-gauge", shopfile.Quoted("gauge", id)))
		}
		all[id] = readPlan(e.Value, masters)
	}
	return all
}

func readPlan(v shopfile.Value, masters map[string]check.Master) *check.Plan {
	m := v.Map()
	p := &check.Plan{Repeats: 1}
	if every := m.Get("every_days"); every.Given() {
		p.Every = time.Duration(every.Int(1, 3650)) * day
	}
	if at := m.Get("at"); at.Given() {
		for _, one := range at.List() {
			if _, known := masters[one.Text()]; !known && one.Text() != "" {
				one.Wrong(gauge.Say("refusal.master.missing", one.As("master")))
			}
			p.Masters = append(p.Masters, one.Text())
		}
	}
	if repeats := m.Get("repeats"); repeats.Given() {
		p.Repeats = repeats.Int(1, 100)
	}
	if both := m.Get("both_ways"); both.Given() {
		p.BothWays = both.Bool()
	}
	readJobPlan(p, m)
	if due := m.Get("when_due"); due.Given() {
		if p.Blocks = due.OneOf("warn", "block") == "block"; p.Every == 0 && !p.BeforeEach && p.BeforeWithin == 0 {
			due.Wrong(gauge.Say("station.never-due"))
		}
	}
	m.Done()
	return p
}

// readJobPlan reads which checks are made before and after a job.
func readJobPlan(p *check.Plan, m *shopfile.Map) {
	if before := m.Get("before_job"); before.Given() && before.Text() == "each" {
		p.BeforeEach = true
	} else if before.Given() {
		age, err := time.ParseDuration(before.Text())
		if err != nil || age <= 0 {
			before.Wrong(gauge.Say("station.before-job", before.As("text")))
		}
		p.BeforeWithin = age
	}
	if after := m.Get("after_job"); after.Given() {
		p.AfterEach = after.Bool()
	}
	zero := m.Get("zero_return")
	if !zero.Given() {
		return
	}
	zm := zero.Map()
	within := zm.Need("within")
	digits, unit := within.Quantity()
	if l, err := gauge.ParseLength(digits, unit); unit.Known() && (err != nil || unit.Kind() != gauge.KindLength || l <= 0) {
		within.Wrong(gauge.Say("station.zero-within", within.As("text")))
	} else {
		p.ZeroWithin = &l
	}
	zm.Done()
}

// dayRemedy says how a text that is no day is to be written.
func dayRemedy(text string) gauge.Message {
	if first, err := time.Parse("2006-01", text[:min(len(text), len("2006-01"))]); err == nil && len(text) == len(time.DateOnly) {
		return gauge.Say("station.day.month", gauge.Text("month", first.Format("2006-01")), gauge.Count("days", first.AddDate(0, 1, -1).Day()))
	}
	for _, form := range []string{"2.1.2006", "2.1.06"} {
		if day, err := time.Parse(form, text); err == nil {
			return gauge.Say("station.day.written", gauge.Text("day", day.Format(time.DateOnly)))
		}
	}
	return gauge.Say("station.day.form")
}
