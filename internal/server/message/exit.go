package message

import (
	"gauged/internal/exits"
	"gauged/internal/wire"

	gaugedv1 "gauged/api/gauged/v1"
)

// Exit returns how an exit stands.
func Exit(s exits.Status) *gaugedv1.Exit {
	m := &gaugedv1.Exit{
		ExitId: s.ID, Kind: exitKind(s), Address: s.Address, State: exitState(s),
		AfterSeq: s.After, BehindCount: s.Behind, WaitingTime: wire.Time(s.Waiting),
		FailureCount: s.Failures, FailingTime: wire.Time(s.Failing), Failure: wire.Message(s.Why), RetryTime: wire.Time(s.Retry),
		PauseTime: wire.Time(s.Paused), PausedBy: s.PausedBy, DeadLetterCount: s.Dead, DeliveredCount: s.Delivered, FailedCount: s.Failed,
	}
	if !s.NotKept.IsZero() {
		m.Failure = wire.Message(s.NotKept)
	}
	for _, e := range s.Events {
		m.EventKinds = append(m.EventKinds, wire.ExitEventKind(e))
	}
	if r := s.Readings; r != nil {
		m.Readings = &gaugedv1.ExitReadings{TakenCount: r.Taken, ThinnedCount: r.Thinned, AwayCount: r.Away, RefusedCount: r.Refused}
	}
	return m
}

// exitKind is by what an exit hands on: one that holds a connection is one of MQTT.
func exitKind(s exits.Status) gaugedv1.ExitKind {
	if s.Readings != nil {
		return gaugedv1.ExitKind_EXIT_KIND_MQTT
	}
	return gaugedv1.ExitKind_EXIT_KIND_WEBHOOK
}

func exitState(s exits.Status) gaugedv1.ExitState {
	switch {
	case !s.Paused.IsZero():
		return gaugedv1.ExitState_EXIT_STATE_PAUSED
	case s.Failures > 0 || !s.NotKept.IsZero():
		return gaugedv1.ExitState_EXIT_STATE_WAITING
	case s.Behind > 0:
		return gaugedv1.ExitState_EXIT_STATE_SENDING
	}
	return gaugedv1.ExitState_EXIT_STATE_CURRENT
}

// DeadLetter returns an event that was given up.
func DeadLetter(l exits.Dead) *gaugedv1.DeadLetter {
	return &gaugedv1.DeadLetter{
		Seq: l.Seq, EventKind: wire.ExitEventKind(l.Event), Time: wire.Time(l.Time), GiveUpTime: wire.Time(l.GivenUp), Failure: wire.Message(l.Why),
	}
}
