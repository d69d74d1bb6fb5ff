package letter

import (
	"gauged/internal/gauge"
	"gauged/internal/health"
	"gauged/internal/job"
)

// EventOf is the event that a fact is; empty: it is none.
func EventOf(f gauge.Fact) gauge.Event {
	switch {
	case f.Job != nil && f.Job.Kind == job.KindVerdict:
		return gauge.EventVerdict
	case f.Job != nil:
		return gauge.EventJob
	case f.State != nil:
		return gauge.EventGauge
	case f.Reading != nil:
		return gauge.EventReading
	case f.Gauge != nil && (f.Gauge.Kind == health.KindChecked || f.Gauge.Kind == health.KindVoided):
		return gauge.EventCheck
	}
	return ""
}
