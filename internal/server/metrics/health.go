package metrics

import (
	"context"
	"time"

	"github.com/prometheus/client_golang/prometheus"

	"gauged/internal/health"
	"gauged/internal/health/check"
	"gauged/internal/health/drift"
)

var (
	errorDesc            = desc("error_meters", "Mean error of the gauge as its last master check found it: indication less true value.", "gauge")
	errorUncertaintyDesc = desc("error_uncertainty_meters", "Standard uncertainty of the mean error.", "gauge")
	worstDesc            = desc("worst_error_meters", "Error at the master that gives the last check its verdict.", "gauge")
	worstUncertaintyDesc = desc("worst_error_expanded_uncertainty_meters", "Expanded uncertainty (95 %) of that error.", "gauge")
	limitDesc            = desc("error_limit_meters", "Maximum permissible error of the gauge, either way, as of the last check.", "gauge")
	rateDesc             = desc("drift_rate_meters_per_second", "Rate at which the error moves at the master that comes to the limit first, or is nearest to it, from all checks there.", "gauge")
	rateUncertaintyDesc  = desc("drift_rate_uncertainty_meters_per_second", "Standard error of the rate.", "gauge")
	reachedDesc          = desc("limit_reached_early_timestamp_seconds", "Early end of the 95 % interval of the date at which the error reaches the limit; absent when the rate does not differ from zero.", "gauge")
	lastCheckDesc        = desc("last_check_timestamp_seconds", "Time of the last master check, in seconds since 1970.", "gauge")
	dueDesc              = desc("check_due_timestamp_seconds", "When the next master check is due by the calendar. 0 is at once: none passed that should have, or the gauge failed and went into service by hand.", "gauge")
	dueNowDesc           = desc("check_due", "1 where the master check is due now: a new job wants it first, or says so.", "gauge")
	chartDesc            = desc("chart_signal", "1 when the control chart points at the last check.", "gauge", "chart")
	standingDesc         = desc("standing", "1 for whether the gauge may be used, 0 for the others.", "gauge", "standing")
	workDesc             = desc("work_error_meters", "Error of the gauge as the jobs show it since its last master check.", "gauge")
	workUncertaintyDesc  = desc("work_error_uncertainty_meters", "Standard uncertainty of that error.", "gauge")
	workAlarmDesc        = desc("work_alarm", "1 when the jobs show that something has changed, and it may be this gauge.", "gauge")
	signDesc             = desc("sign", "1 when the last look at the readings, checks and jobs of the gauge found this sign of a fault, 0 when it found none; absent while it cannot be judged.", "gauge", "kind")
	verdictDesc          = desc("check_verdict", "1 for what the last master check says of the gauge as it was found, 0 for the others.", "gauge", "verdict")
	masterDueDesc        = desc("master_due_timestamp_seconds", "Day on which the calibration of the master itself is due; absent when not stated.", "master")
	healthDescs          = []*prometheus.Desc{
		errorDesc, errorUncertaintyDesc, worstDesc, worstUncertaintyDesc, limitDesc, rateDesc, rateUncertaintyDesc, reachedDesc, lastCheckDesc, dueDesc, dueNowDesc, chartDesc, standingDesc,
		workDesc, workUncertaintyDesc, workAlarmDesc, signDesc, verdictDesc, masterDueDesc,
	}
)

// workEvery is how often the jobs are asked what they say of the gauges. That
// reads the history once, and after that only what is new.
const workEvery = 15 * time.Second

// followWork keeps the estimate from the jobs up to date until ctx ends.
func (m *Metrics) followWork(ctx context.Context) {
	every := time.NewTicker(workEvery)
	defer every.Stop()
	for {
		if _, err := m.o.Station.WorkErrors(ctx); err != nil && ctx.Err() == nil {
			m.o.Log.Warn("the errors of the gauges cannot be estimated from the jobs", "error", err)
		}
		select {
		case <-every.C:
		case <-ctx.Done():
			return
		}
	}
}

// collectWork shows what the jobs say of the gauges, as far as that is known.
func (m *Metrics) collectWork(ch chan<- prometheus.Metric) {
	for id, w := range m.o.Station.KnownWorkErrors() {
		sample(ch, workDesc, prometheus.GaugeValue, w.Error, id)
		sample(ch, workUncertaintyDesc, prometheus.GaugeValue, w.Standard, id)
		sample(ch, workAlarmDesc, prometheus.GaugeValue, oneIf(w.Alarm), id)
	}
}

// collectMasters shows until when each master can be measured with.
func (m *Metrics) collectMasters(ch chan<- prometheus.Metric) {
	for id, one := range m.o.Station.Masters() {
		if !one.Due.IsZero() {
			sample(ch, masterDueDesc, prometheus.GaugeValue, float64(one.Due.Unix()), id)
		}
	}
}

// collectHealth shows how far a gauge can be trusted.
func collectHealth(ch chan<- prometheus.Metric, id string, h *health.Gauge, now time.Time) {
	is := func(d *prometheus.Desc, value float64, labels ...string) {
		sample(ch, d, prometheus.GaugeValue, value, append([]string{id}, labels...)...)
	}
	for _, standing := range health.Standings {
		is(standingDesc, oneIf(standing == h.Standing), string(standing))
	}
	if overdue := h.Overdue(now); overdue || h.Plan != nil {
		is(dueNowDesc, oneIf(overdue))
	}
	if due := h.DueByCalendar(); !due.IsZero() {
		is(dueDesc, float64(due.Unix()))
	}
	if h.Last == nil {
		return
	}
	for _, verdict := range []check.Verdict{check.Pass, check.Fail, check.Undecided, check.Unlimited} {
		is(verdictDesc, oneIf(verdict == h.Last.Result.Verdict), string(verdict))
	}
	is(lastCheckDesc, float64(h.Last.Time.UnixMilli())/1e3)
	is(errorDesc, h.Last.Result.Error.Metres())
	is(errorUncertaintyDesc, h.Last.Result.Standard)
	decides := h.Last.Result.Decides()
	is(worstDesc, decides.Error.Metres())
	is(worstUncertaintyDesc, decides.Expanded().Metres())
	if limit := h.Last.Result.Limit; limit != nil {
		is(limitDesc, limit.Metres())
	}
	charts := h.ChartNow()
	for _, chart := range []string{drift.SingleChart, drift.CUSUMChart, drift.SpreadChart} {
		if signal, known := charts[chart]; known {
			is(chartDesc, oneIf(signal), chart)
		}
	}
	trend := h.Trend()
	if trend == nil || trend.Worst().ByTime == nil {
		return
	}
	worst := trend.Worst()
	const day = float64(24 * time.Hour / time.Second)
	is(rateDesc, worst.ByTime.Rate/day)
	is(rateUncertaintyDesc, worst.ByTime.RateError/day)
	if reach := worst.ByTime.Reach; reach != nil && reach.Significant {
		is(reachedDesc, float64(worst.Date(reach.Early).Unix()))
	}
}
