package metrics

import "github.com/prometheus/client_golang/prometheus"

var (
	exitBehindDesc    = desc("exit_behind_entries", "Entries of the history after the last one that the exit is done with; not all of them are handed on.", "exit")
	exitWaitingDesc   = desc("exit_waiting_seconds", "How long the event that the exit hands on next is stored; 0 when there is none.", "exit")
	exitDeliveredDesc = desc("exit_delivered_total", "Events that the receiver of the exit has taken since the daemon started.", "exit")
	exitFailedDesc    = desc("exit_failed_attempts_total", "Attempts of the exit that failed since the daemon started.", "exit")
	exitDeadDesc      = desc("exit_dead_letters", "Events that the exit gave up and still has.", "exit")
	exitPausedDesc    = desc("exit_paused", "1 while the exit is paused, by somebody or by its receiver.", "exit")
	exitDescs         = []*prometheus.Desc{exitBehindDesc, exitWaitingDesc, exitDeliveredDesc, exitFailedDesc, exitDeadDesc, exitPausedDesc}
)

func (m *Metrics) collectExits(ch chan<- prometheus.Metric) {
	if m.o.Exits == nil {
		return
	}
	for _, e := range m.o.Exits() {
		waiting := 0.0
		if !e.Waiting.IsZero() {
			waiting = max(m.o.Now().Sub(e.Waiting).Seconds(), 0)
		}
		sample(ch, exitBehindDesc, prometheus.GaugeValue, float64(e.Behind), e.ID)
		sample(ch, exitWaitingDesc, prometheus.GaugeValue, waiting, e.ID)
		sample(ch, exitDeliveredDesc, prometheus.CounterValue, float64(e.Delivered), e.ID)
		sample(ch, exitFailedDesc, prometheus.CounterValue, float64(e.Failed), e.ID)
		sample(ch, exitDeadDesc, prometheus.GaugeValue, float64(e.Dead), e.ID)
		sample(ch, exitPausedDesc, prometheus.GaugeValue, oneIf(!e.Paused.IsZero()), e.ID)
	}
}
