package wire

import (
	"testing"

	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/health/drift"
	"gauged/internal/health/recall"
	"gauged/internal/health/signs"
	"gauged/internal/uncertainty"
)

func number[C interface {
	~int32
	protoreflect.Enum
}](n protoreflect.EnumNumber) C {
	return C(n)
}

// whole holds a table of pairs against all words of ours and all values of the contract.
func whole[O comparable, C interface {
	~int32
	protoreflect.Enum
}](t *testing.T, pairs []Pair[O, C], all ...O) {
	t.Helper()
	var none C
	checkWords(t, all, none.Descriptor().Values(), func(o O) C { return Contract(pairs, o) }, number[C], func(c C) (O, bool) { return Own(pairs, c) })
}

func TestEveryEnumHasItsCounterpart(t *testing.T) {
	whole(t, modes, gauge.ModeButton, gauge.ModeStream, gauge.ModePoll, gauge.ModeTyped, gauge.ModeSwitch, ModeOutside)
	whole(t, reasons, gauge.Reasons...)
	whole(t, exitEvents, append([]gauge.Event{gauge.EventReading, gauge.EventStation}, gauge.Events...)...)
	whole(t, closings, procedure.WordPlay, procedure.WordPreload, procedure.WordResult)
	whole(t, captures, procedure.MovingStable, procedure.MovingTurn, procedure.MovingEndStops)
	whole(t, distributions, uncertainty.Normal, uncertainty.Student, uncertainty.Rectangular, uncertainty.Triangular, uncertainty.UShaped)
	whole(t, fileKinds, "procedure", "parts")
	whole(t, intervalUnits, "days", "uses")
	whole(t, intervalMethods, drift.StaircaseMethod, drift.ControlChartMethod)
	whole(t, intervalChanges, drift.Extended, drift.Kept, drift.Reduced, drift.Now)
	whole(t, charts, drift.SingleChart, drift.CUSUMChart, drift.EWMAChart, drift.SpreadChart)
	whole(t, signKinds, signs.Stuck, signs.MissedCounts, signs.LowBattery, signs.LostResolution, signs.PresetLeftOn, signs.ZeroOff,
		signs.Reversed, signs.WrongUnit, signs.Noise, signs.Hysteresis, signs.LostFrames)
	whole(t, checkVerdicts, check.Pass, check.Fail, check.Undecided, check.Unlimited)
	whole(t, errorModels, recall.CourseConstant, recall.CourseGrowing, recall.CourseFromWork)
}
