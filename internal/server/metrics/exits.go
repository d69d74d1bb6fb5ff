package metrics

import "github.com/prometheus/client_golang/prometheus"

var (
	exitBehindDesc    = desc("exit_behind_entries", "Entries of the history after the last one that the exit is done with; not all of them are handed on.", "exit")
	exitWaitingDesc   = desc("exit_waiting_seconds", "How long the event that the exit hands on next is stored; 0 when there is none.", "exit")
	exitDeliveredDesc = desc("exit_delivered_total", "Events that the receiver of the exit has taken since the daemon started.", "exit")
	exitFailedDesc    = desc("exit_failed_attempts_total", "Attempts of the exit that failed since the daemon started.", "exit")
	exitDeadDesc      = desc("exit_dead_letters", "Events that the exit gave up and still has.", "exit")
	exitPausedDesc    = desc("exit_paused", "1 while the exit is paused, by somebody or by its receiver.", "exit")
	exitConnectedDesc = desc("exit_connected", "1 while the exit has its connection to its broker; absent where an exit holds none.", "exit")
	exitReadingsDesc  = desc("exit_readings_total", "Readings for a broker since the daemon started: taken by it, thinned by the policy, away with the connection, or refused by it.", "exit", "outcome")
	exitDescs         = []*prometheus.Desc{exitBehindDesc, exitWaitingDesc, exitDeliveredDesc, exitFailedDesc, exitDeadDesc, exitPausedDesc, exitConnectedDesc, exitReadingsDesc}
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
		if r := e.Readings; r != nil {
			sample(ch, exitConnectedDesc, prometheus.GaugeValue, oneIf(e.Connected), e.ID)
			for outcome, n := range map[string]uint64{"taken": r.Taken, "thinned": r.Thinned, "away": r.Away, "refused": r.Refused} {
				sample(ch, exitReadingsDesc, prometheus.CounterValue, float64(n), e.ID, outcome)
			}
		}
	}
}
