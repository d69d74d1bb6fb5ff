package wire

import (
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/history/chain"

	gaugedv1 "gauged/api/gauged/v1"
)

var deviations = []Pair[chain.Deviation, gaugedv1.HistoryDeviation]{
	{"", gaugedv1.HistoryDeviation_HISTORY_DEVIATION_UNSPECIFIED},
	{chain.Changed, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_CHANGED},
	{chain.Missing, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_MISSING},
	{chain.Inserted, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_INSERTED},
	{chain.Doubled, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_DOUBLED},
	{chain.Moved, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_MOVED},
	{chain.Added, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_ADDED},
	{chain.Unlinked, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_UNLINKED},
	{chain.Broken, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_BROKEN},
	{chain.Remarked, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_MARKS},
	{chain.CutShort, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_CUT_SHORT},
	{chain.OtherEnd, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_OTHER_END},
	{chain.Ruined, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_RUINED},
	{chain.Relisted, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_LISTS},
	{chain.Rebuilt, gaugedv1.HistoryDeviation_HISTORY_DEVIATION_SCHEMA},
}

// Head is a signed head.
func Head(h chain.Head) *gaugedv1.HistoryHead {
	return &gaugedv1.HistoryHead{
		Seq: h.Seq, Time: timestamppb.New(h.Time), Digest: h.Digest, Station: h.Station, Signature: h.Signature, Line: h.String(),
	}
}

// Verification is what was found along the chain, and whether the head that was asked
// about is signed by the station; nil: that is not known.
func Verification(v *chain.Verification, signed *bool) *gaugedv1.VerifyHistoryResponse {
	m := &gaugedv1.VerifyHistoryResponse{
		ThroughSeq: v.Facts, Digest: v.Digest[:], UpgradedThroughSeq: v.Upgraded, HeadHeld: len(v.Held) > 0, HeadSigned: signed,
	}
	if d := v.Difference; d != nil {
		m.Difference = &gaugedv1.HistoryDifference{
			Deviation: Contract(deviations, d.What), Seq: d.Seq, LastSeq: d.Through, OtherSeq: d.Other, Table: d.Kind, GaugeId: d.Gauge, JobId: d.Job, Text: d.String(),
		}
		if !d.Time.IsZero() {
			m.Difference.Time = timestamppb.New(d.Time)
		}
	}
	return m
}
