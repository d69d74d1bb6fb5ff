package wire

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/drift"
	"gauged/internal/health/signs"
	"gauged/internal/uncertainty"

	gaugedv1 "gauged/api/gauged/v1"
)

// ModeOutside is the mode of a gauge that programs feed.
const ModeOutside gauge.Mode = "outside"

var modes = []Pair[gauge.Mode, gaugedv1.GaugeMode]{
	{"", gaugedv1.GaugeMode_GAUGE_MODE_UNSPECIFIED},
	{gauge.ModeButton, gaugedv1.GaugeMode_GAUGE_MODE_BUTTON},
	{gauge.ModeStream, gaugedv1.GaugeMode_GAUGE_MODE_STREAM},
	{gauge.ModePoll, gaugedv1.GaugeMode_GAUGE_MODE_POLL},
	{gauge.ModeTyped, gaugedv1.GaugeMode_GAUGE_MODE_TYPED},
	{gauge.ModeSwitch, gaugedv1.GaugeMode_GAUGE_MODE_SWITCH},
	{ModeOutside, gaugedv1.GaugeMode_GAUGE_MODE_OUTSIDE},
}

var reasons = []Pair[gauge.Reason, gaugedv1.RejectReason]{
	{"", gaugedv1.RejectReason_REJECT_REASON_UNSPECIFIED},
	{gauge.ReasonNoise, gaugedv1.RejectReason_REJECT_REASON_NOISE},
	{gauge.ReasonHalfFrame, gaugedv1.RejectReason_REJECT_REASON_HALF_FRAME},
	{gauge.ReasonTooLong, gaugedv1.RejectReason_REJECT_REASON_TOO_LONG},
	{gauge.ReasonLayout, gaugedv1.RejectReason_REJECT_REASON_LAYOUT},
	{gauge.ReasonComma, gaugedv1.RejectReason_REJECT_REASON_COMMA},
	{gauge.ReasonNumber, gaugedv1.RejectReason_REJECT_REASON_NUMBER},
	{gauge.ReasonUnit, gaugedv1.RejectReason_REJECT_REASON_UNIT},
	{gauge.ReasonOverrange, gaugedv1.RejectReason_REJECT_REASON_OVERRANGE},
	{gauge.ReasonRepeated, gaugedv1.RejectReason_REJECT_REASON_REPEATED},
	{gauge.ReasonUnasked, gaugedv1.RejectReason_REJECT_REASON_UNASKED},
	{gauge.ReasonUnknown, gaugedv1.RejectReason_REJECT_REASON_UNKNOWN},
	{gauge.ReasonSenderNumber, gaugedv1.RejectReason_REJECT_REASON_SENDER_NUMBER},
	{gauge.ReasonTime, gaugedv1.RejectReason_REJECT_REASON_TIME},
}

var closings = []Pair[procedure.Word, gaugedv1.ClosingDimension]{
	{"", gaugedv1.ClosingDimension_CLOSING_DIMENSION_UNSPECIFIED},
	{procedure.WordPlay, gaugedv1.ClosingDimension_CLOSING_DIMENSION_PLAY},
	{procedure.WordPreload, gaugedv1.ClosingDimension_CLOSING_DIMENSION_PRELOAD},
	{procedure.WordResult, gaugedv1.ClosingDimension_CLOSING_DIMENSION_RESULT},
}

var captures = []Pair[procedure.MovingKind, gaugedv1.CaptureKind]{
	{"", gaugedv1.CaptureKind_CAPTURE_KIND_UNSPECIFIED},
	{procedure.MovingStable, gaugedv1.CaptureKind_CAPTURE_KIND_STABLE},
	{procedure.MovingTurn, gaugedv1.CaptureKind_CAPTURE_KIND_TURN},
	{procedure.MovingEndStops, gaugedv1.CaptureKind_CAPTURE_KIND_END_STOPS},
}

var distributions = []Pair[uncertainty.Distribution, gaugedv1.Distribution]{
	{"", gaugedv1.Distribution_DISTRIBUTION_UNSPECIFIED},
	{uncertainty.Normal, gaugedv1.Distribution_DISTRIBUTION_NORMAL},
	{uncertainty.Student, gaugedv1.Distribution_DISTRIBUTION_STUDENT},
	{uncertainty.Rectangular, gaugedv1.Distribution_DISTRIBUTION_RECTANGULAR},
	{uncertainty.Triangular, gaugedv1.Distribution_DISTRIBUTION_TRIANGULAR},
	{uncertainty.UShaped, gaugedv1.Distribution_DISTRIBUTION_U_SHAPED},
}

var fileKinds = []Pair[string, gaugedv1.FileKind]{
	{"", gaugedv1.FileKind_FILE_KIND_UNSPECIFIED},
	{"procedure", gaugedv1.FileKind_FILE_KIND_PROCEDURE},
	{"parts", gaugedv1.FileKind_FILE_KIND_PART_FAMILY},
}

var intervalUnits = []Pair[string, gaugedv1.IntervalUnit]{
	{"", gaugedv1.IntervalUnit_INTERVAL_UNIT_UNSPECIFIED},
	{"days", gaugedv1.IntervalUnit_INTERVAL_UNIT_DAYS},
	{"uses", gaugedv1.IntervalUnit_INTERVAL_UNIT_USES},
}

var intervalMethods = []Pair[string, gaugedv1.IntervalMethod]{
	{"", gaugedv1.IntervalMethod_INTERVAL_METHOD_UNSPECIFIED},
	{drift.StaircaseMethod, gaugedv1.IntervalMethod_INTERVAL_METHOD_STAIRCASE},
	{drift.ControlChartMethod, gaugedv1.IntervalMethod_INTERVAL_METHOD_CONTROL_CHART},
}

var intervalChanges = []Pair[drift.Change, gaugedv1.IntervalChange]{
	{"", gaugedv1.IntervalChange_INTERVAL_CHANGE_UNSPECIFIED},
	{drift.Extended, gaugedv1.IntervalChange_INTERVAL_CHANGE_EXTEND},
	{drift.Kept, gaugedv1.IntervalChange_INTERVAL_CHANGE_KEEP},
	{drift.Reduced, gaugedv1.IntervalChange_INTERVAL_CHANGE_REDUCE},
	{drift.Now, gaugedv1.IntervalChange_INTERVAL_CHANGE_CHECK_NOW},
}

var charts = []Pair[string, gaugedv1.ControlChart]{
	{"", gaugedv1.ControlChart_CONTROL_CHART_UNSPECIFIED},
	{drift.SingleChart, gaugedv1.ControlChart_CONTROL_CHART_INDIVIDUALS},
	{drift.CUSUMChart, gaugedv1.ControlChart_CONTROL_CHART_CUSUM},
	{drift.EWMAChart, gaugedv1.ControlChart_CONTROL_CHART_EWMA},
	{drift.SpreadChart, gaugedv1.ControlChart_CONTROL_CHART_SPREAD},
}

var signKinds = []Pair[signs.Kind, gaugedv1.SignKind]{
	{"", gaugedv1.SignKind_SIGN_KIND_UNSPECIFIED},
	{signs.Stuck, gaugedv1.SignKind_SIGN_KIND_STUCK_SPINDLE},
	{signs.MissedCounts, gaugedv1.SignKind_SIGN_KIND_MISSED_COUNTS},
	{signs.LowBattery, gaugedv1.SignKind_SIGN_KIND_LOW_BATTERY},
	{signs.LostResolution, gaugedv1.SignKind_SIGN_KIND_LOST_RESOLUTION},
	{signs.PresetLeftOn, gaugedv1.SignKind_SIGN_KIND_PRESET_LEFT_ON},
	{signs.ZeroOff, gaugedv1.SignKind_SIGN_KIND_ZERO_FAR_OFF},
	{signs.Reversed, gaugedv1.SignKind_SIGN_KIND_REVERSED_DIRECTION},
	{signs.WrongUnit, gaugedv1.SignKind_SIGN_KIND_WRONG_UNIT},
	{signs.Noise, gaugedv1.SignKind_SIGN_KIND_NOISE},
	{signs.Hysteresis, gaugedv1.SignKind_SIGN_KIND_HYSTERESIS},
	{signs.LostFrames, gaugedv1.SignKind_SIGN_KIND_LOST_FRAMES},
}

// ExitEventKind is an event in the contract.
func ExitEventKind(e gauge.Event) gaugedv1.ExitEventKind { return Contract(exitEvents, e) }

// Mode returns the mode of the contract.
func Mode(m gauge.Mode) gaugedv1.GaugeMode { return Contract(modes, m) }

// FromMode is the reverse of Mode; a mode that is not known is empty.
func FromMode(m gaugedv1.GaugeMode) gauge.Mode { return known(modes, m) }

// RejectReason returns the reason of the contract.
func RejectReason(r gauge.Reason) gaugedv1.RejectReason { return Contract(reasons, r) }

// FromRejectReason is the reverse of RejectReason; a reason that is not known is empty.
func FromRejectReason(r gaugedv1.RejectReason) gauge.Reason { return known(reasons, r) }

// Capture returns how a reading is captured from a moving indicator.
func Capture(k procedure.MovingKind) gaugedv1.CaptureKind { return Contract(captures, k) }

// FromDistribution returns a distribution; empty for one that is not known.
func FromDistribution(d gaugedv1.Distribution) uncertainty.Distribution {
	return known(distributions, d)
}

// FileKind returns what a file of the shop is.
func FileKind(kind string) gaugedv1.FileKind { return Contract(fileKinds, kind) }

// FromFileKind is the reverse of FileKind; a kind that is not known is empty.
func FromFileKind(k gaugedv1.FileKind) string { return known(fileKinds, k) }

// Advice returns how long until the next check of a gauge by one method.
func Advice(a drift.Advice) *gaugedv1.IntervalAdvice {
	return &gaugedv1.IntervalAdvice{
		Unit: Contract(intervalUnits, a.Unit), Method: Contract(intervalMethods, a.Method), Change: Contract(intervalChanges, a.Change),
		Next: a.Next, Reasons: Messages(a.Reasons), Observed: a.Observed, Point: a.Point,
	}
}

// AdviceWords are the unit, the method and the change of an advice; empty where they are not known.
func AdviceWords(a *gaugedv1.IntervalAdvice) (unit, method, change string) {
	return known(intervalUnits, a.GetUnit()), known(intervalMethods, a.GetMethod()), string(known(intervalChanges, a.GetChange()))
}

// Chart returns a control chart by its name.
func Chart(name string) gaugedv1.ControlChart { return Contract(charts, name) }

// FromChart is the reverse of Chart; a chart that is not known is empty.
func FromChart(c gaugedv1.ControlChart) string { return known(charts, c) }

// SignKind returns what is looked for in a gauge.
func SignKind(k signs.Kind) gaugedv1.SignKind { return Contract(signKinds, k) }

// FromSignKind is the reverse of SignKind; a kind that is not known is empty.
func FromSignKind(k gaugedv1.SignKind) signs.Kind { return known(signKinds, k) }

// known returns our word, empty where the contract's is not known here.
func known[O, C comparable](pairs []Pair[O, C], contract C) O {
	word, _ := Own(pairs, contract)
	return word
}

var exitEvents = []Pair[gauge.Event, gaugedv1.ExitEventKind]{
	{"", gaugedv1.ExitEventKind_EXIT_EVENT_KIND_UNSPECIFIED},
	{gauge.EventVerdict, gaugedv1.ExitEventKind_EXIT_EVENT_KIND_VERDICT},
	{gauge.EventJob, gaugedv1.ExitEventKind_EXIT_EVENT_KIND_JOB},
	{gauge.EventGauge, gaugedv1.ExitEventKind_EXIT_EVENT_KIND_GAUGE},
	{gauge.EventCheck, gaugedv1.ExitEventKind_EXIT_EVENT_KIND_CHECK},
	{gauge.EventReading, gaugedv1.ExitEventKind_EXIT_EVENT_KIND_READING},
	{gauge.EventStation, gaugedv1.ExitEventKind_EXIT_EVENT_KIND_STATION},
}
