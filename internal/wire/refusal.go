package wire

import (
	"regexp"
	"strings"
	"time"
	"unicode/utf8"

	"google.golang.org/genproto/googleapis/rpc/errdetails"
	"google.golang.org/grpc/codes"
	"google.golang.org/grpc/status"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/protoadapt"

	"gauged/internal/gauge"
	"gauged/internal/words"

	gaugedv1 "gauged/api/gauged/v1"
)

// Domain is that of the reasons of errors.
const Domain = "gauged"

// Clients take no more than 8 KiB of what stands beside an answer, with the sentence in
// it twice: as it is, other bytes than printable ASCII as three, and among the details,
// four bytes for three.
const (
	longestSentence = 2000 // as it is sent
	longestDetails  = 1500
)

// Refusal returns the status that a refusal is sent as. Its details are an ErrorInfo with
// the code and the arguments, the message as it is, and where input has several problems
// each with its place. What does not fit is left out: arguments last, the code never.
func Refusal(code codes.Code, m gauge.Message) *status.Status {
	st := status.New(code, shortened(words.In(words.English).Tell(m)))
	meant := inner(m)
	info := &errdetails.ErrorInfo{Reason: Reason(meant.Code), Domain: Domain, Metadata: map[string]string{}}
	metadata(info.Metadata, "", meant)
	if place, ok := m.Arg("place"); ok && m.Code == "because.within" {
		info.Metadata["place"] = strings.TrimSuffix(place.Text, ": ")
	}
	details := []protoadapt.MessageV1{info}
	room := longestDetails - proto.Size(info)
	if room < 0 {
		info.Metadata, room = nil, longestDetails
	}
	more := []proto.Message{Message(m)}
	if bad := violations(m); bad != nil {
		more = append(more, bad)
	}
	for _, d := range more {
		if size := proto.Size(d); size <= room {
			details, room = append(details, protoadapt.MessageV1Of(d)), room-size
		}
	}
	with, err := st.WithDetails(details...)
	if err != nil {
		return st
	}
	return with
}

// RefusalOf is the message that a status carries; none where the daemon that sent it
// has said nothing, or only a sentence.
func RefusalOf(st *status.Status) (m gauge.Message, ok bool) {
	for _, d := range st.Details() {
		if sent, is := d.(*gaugedv1.Message); is {
			return FromMessage(sent), true
		}
	}
	return m, false
}

// inner is a message: where it is one at a place, that of what is wrong there.
func inner(m gauge.Message) gauge.Message {
	for m.Code == "because.within" || m.Code == "because.field" {
		why, _ := m.Arg("why")
		if why.Message == nil {
			break
		}
		m = *why.Message
	}
	return m
}

// Reason is the code of a refusal as the reason of an ErrorInfo: job.closed is JOB_CLOSED.
func Reason(code string) string {
	code = strings.TrimPrefix(code, "refusal.")
	return strings.ToUpper(strings.NewReplacer(".", "_", "-", "_").Replace(code))
}

// metadata writes the arguments of a message as text, those of a message within it
// behind its name and an underscore.
func metadata(into map[string]string, before string, m gauge.Message) {
	for _, a := range m.Args {
		into[before+a.Name] = argumentText(a)
		if a.Message != nil {
			metadata(into, before+a.Name+"_", *a.Message)
		}
	}
}

// argumentText writes an argument for a program: a text as it is, a quantity with its
// unit, a time after RFC 3339, of a message its code.
func argumentText(a gauge.Arg) string {
	switch {
	case a.Message != nil:
		return a.Message.Code
	case a.List != nil:
		texts := make([]string, len(a.List))
		for i, one := range a.List {
			texts[i] = argumentText(one)
		}
		return strings.Join(texts, ", ")
	case a.Text != "":
		return strings.ToValidUTF8(a.Text, "?")
	case a.Moment != nil:
		return a.Moment.Format(time.RFC3339Nano)
	case a.Digits == "" && a.Count == nil && a.Chance == nil && a.Word == "" && a.Span == nil:
		return ""
	}
	return a.String()
}

// placed is a problem with its place, as the readers of files write it.
var placed = regexp.MustCompile(`^(.*?:\d+:\d+): (.*)$`)

// violations are the problems of an input that has several, each with its place.
func violations(m gauge.Message) *errdetails.BadRequest {
	bad := &errdetails.BadRequest{}
	add := func(text, reason string) {
		v := &errdetails.BadRequest_FieldViolation{Description: text, Reason: reason}
		if at := placed.FindStringSubmatch(text); at != nil {
			v.Field, v.Description = at[1], at[2]
		}
		bad.FieldViolations = append(bad.FieldViolations, v)
	}
	a, ok := m.Arg("problems")
	if !ok {
		return nil
	}
	english := words.In(words.English)
	for _, one := range a.List {
		if one.Message != nil {
			add(english.Tell(*one.Message), Reason(inner(*one.Message).Code))
			if field, ok := one.Message.Arg("field"); ok && one.Message.Code == "because.field" {
				bad.FieldViolations[len(bad.FieldViolations)-1].Field = field.Text
			}
		} else {
			add(one.Text, "")
		}
	}
	for line := range strings.Lines(a.Text) {
		add(strings.TrimSuffix(line, "\n"), "")
	}
	if a.Message != nil {
		return violations(*a.Message)
	}
	return bad
}

// shortened cuts a sentence to what may be sent.
func shortened(text string) string {
	size := 0
	for i, letter := range text {
		if size += sentAs(letter); size > longestSentence {
			return text[:i] + " ..."
		}
	}
	return text
}

// sentAs is how many bytes a letter takes beside an answer.
func sentAs(letter rune) int {
	if letter >= ' ' && letter <= '~' && letter != '%' {
		return 1
	}
	return 3 * utf8.RuneLen(letter)
}
