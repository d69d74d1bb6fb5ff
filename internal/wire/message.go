package wire

import (
	"math"
	"strings"

	"google.golang.org/protobuf/types/known/durationpb"

	"gauged/internal/gauge"

	gaugedv1 "gauged/api/gauged/v1"
)

// Message returns a message that is to be worded where it is shown; nil for none.
func Message(m gauge.Message) *gaugedv1.Message {
	if m.IsZero() {
		return nil
	}
	return &gaugedv1.Message{Code: m.Code, Arguments: arguments(m.Args)}
}

func arguments(args []gauge.Arg) (all []*gaugedv1.Argument) {
	for _, a := range args {
		all = append(all, argument(a))
	}
	return all
}

func argument(a gauge.Arg) *gaugedv1.Argument {
	m := &gaugedv1.Argument{Name: a.Name}
	switch {
	case a.Digits != "":
		m.Value = &gaugedv1.Argument_Number{Number: &gaugedv1.ShownNumber{Digits: a.Digits, Unit: Unit(a.Unit)}}
	case a.Count != nil:
		m.Value = &gaugedv1.Argument_Count{Count: *a.Count}
	case a.Chance != nil:
		m.Value = &gaugedv1.Argument_Probability{Probability: float64(*a.Chance) / 1e4}
	case a.Word != "":
		m.Value = &gaugedv1.Argument_Word{Word: a.Word}
	case a.List != nil:
		m.Value = &gaugedv1.Argument_List{List: &gaugedv1.ArgumentList{Items: arguments(a.List)}}
	case a.Message != nil:
		m.Value = &gaugedv1.Argument_Message{Message: Message(*a.Message)}
	case a.Moment != nil:
		m.Value = &gaugedv1.Argument_Time{Time: Time(*a.Moment)}
	case a.Span != nil:
		m.Value = &gaugedv1.Argument_Span{Span: durationpb.New(*a.Span)}
	default:
		m.Value = &gaugedv1.Argument_Text{Text: strings.ToValidUTF8(a.Text, "?")}
	}
	return m
}

// Messages are several of them.
func Messages(all []gauge.Message) (told []*gaugedv1.Message) {
	for _, m := range all {
		told = append(told, Message(m))
	}
	return told
}

// FromMessage is the reverse of Message. An argument of a kind that is not known here is
// an empty text.
func FromMessage(m *gaugedv1.Message) gauge.Message {
	return gauge.Message{Code: m.GetCode(), Args: fromArguments(m.GetArguments())}
}

func fromArguments(all []*gaugedv1.Argument) (args []gauge.Arg) {
	for _, m := range all {
		args = append(args, fromArgument(m))
	}
	return args
}

func fromArgument(m *gaugedv1.Argument) gauge.Arg {
	name := m.GetName()
	switch v := m.GetValue().(type) {
	case *gaugedv1.Argument_Number:
		return gauge.Shown(name, v.Number.GetDigits(), FromUnit(v.Number.GetUnit()))
	case *gaugedv1.Argument_Count:
		return gauge.Count(name, v.Count)
	case *gaugedv1.Argument_Probability:
		return gauge.Chance(name, int(math.Round(v.Probability*1e4)))
	case *gaugedv1.Argument_Word:
		return gauge.Word(name, v.Word)
	case *gaugedv1.Argument_List:
		return gauge.List(name, fromArguments(v.List.GetItems())...)
	case *gaugedv1.Argument_Message:
		return gauge.Nested(name, FromMessage(v.Message))
	case *gaugedv1.Argument_Time:
		return gauge.Moment(name, v.Time.AsTime())
	case *gaugedv1.Argument_Span:
		return gauge.Span(name, v.Span.AsDuration())
	default:
		return gauge.Text(name, m.GetText())
	}
}
