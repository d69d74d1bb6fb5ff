package server

import (
	"fmt"
	"sync"

	"gauged/internal/gauge"

	"google.golang.org/grpc/codes"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// mostOf is how many entries a request may have in a list, in all that it says, by the
// list's name in the contract. Each list of a request stands here.
var mostOf = map[protoreflect.FullName]int{
	"gauged.v1.EvaluateRequest.readings":          10_000,
	"gauged.v1.EvaluateRequest.fitted":            100,
	"gauged.v1.EvaluateRequest.gauge_ids":         1000,
	"gauged.v1.StreamEvaluationsRequest.readings": 20_000,
	"gauged.v1.IngestReadingsRequest.readings":    20_000,
	"gauged.v1.WatchReadingsRequest.gauge_ids":    1000,
	"gauged.v1.BeginCheckRequest.master_ids":      200,
	"gauged.v1.RecordCheckRequest.found":          200,
	"gauged.v1.RecordCheckRequest.left":           200,
	"gauged.v1.CheckPoint.reading_seqs":           2000,
	"gauged.v1.CheckPoint.typed":                  2000,
	"gauged.v1.ImportChecksRequest.checks":        2000,
	"gauged.v1.PastCheck.found":                   10_000,
	"gauged.v1.PastCheck.left":                    10_000,
	"gauged.v1.RecallRequest.points":              1000,
	"gauged.v1.StartJobRequest.gauge_ids":         1000,
	"gauged.v1.ResumeJobRequest.gauge_ids":        1000,
	"gauged.v1.StartJobRequest.labels":            20,
	"gauged.v1.SetJobLabelsRequest.labels":        20,
	"gauged.v1.ListJobsRequest.labels":            20,
	"gauged.v1.MakeTokenRequest.gauge_ids":        1000,
	"gauged.v1.StudyInput.rows":                   10_000,
	"gauged.v1.SendDeadLettersRequest.seqs":       1000,
}

// longestText is how many bytes a text of a request may have, longestBytes other bytes.
// The texts of sent readings are looked at one by one: see message.FromIngested.
const (
	longestText  = gauge.LongestText
	longestBytes = 64 << 10
)

// sentOneByOne are the lists whose readings are refused by their numbers.
var sentOneByOne = map[protoreflect.FullName]bool{
	"gauged.v1.IngestReadingsRequest.readings":    true,
	"gauged.v1.StreamEvaluationsRequest.readings": true,
}

// untidy is what is wrong with a value of a request, and its path in there.
type untidy struct {
	path string
	why  func(path string) error
}

// under is the same, seen from the message that has the value in a field.
func (u *untidy) under(path string) *untidy {
	if u != nil && u.path != "" {
		path += "." + u.path
	}
	if u != nil {
		u.path = path
	}
	return u
}

// tidied takes the blanks from both ends of each text of a request, and refuses one that
// is longer than it may be or has a control character in it, and a value that its closed
// list does not have. A key of a map that another has already without its blanks stays as
// it is, and names nothing.
func tidied(m protoreflect.Message) (wrong *untidy) {
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		name := string(f.Name())
		switch {
		case sentOneByOne[f.FullName()]:
		case f.IsMap():
			wrong = tidiedMap(f, v.Map())
		case f.IsList():
			for i, list := 0, v.List(); wrong == nil && i < list.Len(); i++ {
				if v, wrong = tidy(f, list.Get(i)); wrong != nil {
					wrong.under(fmt.Sprintf("%s[%d]", name, i))
				} else if f.Kind() == protoreflect.StringKind {
					list.Set(i, v)
				}
			}
		default:
			if v, wrong = tidy(f, v); wrong != nil {
				wrong.under(name)
			} else if f.Kind() == protoreflect.StringKind {
				m.Set(f, v)
			}
		}
		return wrong == nil
	})
	return wrong
}

func tidiedMap(f protoreflect.FieldDescriptor, of protoreflect.Map) (wrong *untidy) {
	untidied := map[string]string{}
	of.Range(func(k protoreflect.MapKey, v protoreflect.Value) bool {
		var key protoreflect.Value
		if key, wrong = tidy(f.MapKey(), k.Value()); wrong != nil {
			wrong.under(string(f.Name()))
			return false
		}
		if v, wrong = tidy(f.MapValue(), v); wrong != nil {
			wrong.under(fmt.Sprintf("%s[%q]", f.Name(), k.String()))
			return false
		}
		if f.MapValue().Kind() == protoreflect.StringKind {
			of.Set(k, v)
		}
		if f.MapKey().Kind() == protoreflect.StringKind && key.String() != k.String() {
			untidied[k.String()] = key.String()
		}
		return true
	})
	for from, to := range untidied {
		from, to := protoreflect.ValueOfString(from).MapKey(), protoreflect.ValueOfString(to).MapKey()
		if !of.Has(to) {
			of.Set(to, of.Get(from))
			of.Clear(from)
		}
	}
	return wrong
}

// tidy is a value of a request without the blanks around it.
func tidy(f protoreflect.FieldDescriptor, v protoreflect.Value) (protoreflect.Value, *untidy) {
	switch f.Kind() {
	case protoreflect.StringKind:
		text, err := gauge.Tidied("", v.String())
		if err != nil {
			return v, &untidy{why: func(path string) error { _, err := gauge.Tidied(path, v.String()); return err }}
		}
		return protoreflect.ValueOfString(text), nil
	case protoreflect.BytesKind:
		if n := len(v.Bytes()); n > longestBytes {
			return v, &untidy{why: func(path string) error { return gauge.TooLong(path, n, longestBytes) }}
		}
	case protoreflect.EnumKind:
		if f.Enum().Values().ByNumber(v.Enum()) == nil {
			return v, &untidy{why: func(path string) error {
				return gauge.WrongInput("refusal.request.unknown-value", gauge.Text("field", path), gauge.Count("number", int32(v.Enum())))
			}}
		}
	case protoreflect.MessageKind:
		return v, tidied(v.Message())
	}
	return v, nil
}

// requested refuses a request that was not read, see readable, or has a text that cannot be
// stored, and takes the blanks from both ends of its texts. Nothing is done of what is refused.
func requested(request any) error {
	m, ok := request.(proto.Message)
	if !ok {
		return nil
	}
	if err := wasRead(m); err != nil {
		return err
	}
	if wrong := tidied(m.ProtoReflect()); wrong != nil {
		return wrong.why(wrong.path)
	}
	return nil
}

// withLists remembers of the messages of the contract whether they have lists in them.
var withLists sync.Map

// hasLists reports whether a message, nil for none, has a list in it at any depth, so
// that a long list of plain entries is not looked through.
func hasLists(d protoreflect.MessageDescriptor) bool {
	if d == nil {
		return false
	}
	if known, ok := withLists.Load(d.FullName()); ok {
		return known.(bool)
	}
	has := false
	for i := 0; i < d.Fields().Len() && !has; i++ {
		f := d.Fields().Get(i)
		has = f.Cardinality() == protoreflect.Repeated || f.Message() != d && hasLists(f.Message())
	}
	withLists.Store(d.FullName(), has)
	return has
}

// answered refuses to send what no message can hold.
func answered(answer any) error {
	m, ok := answer.(proto.Message)
	if !ok {
		return nil
	}
	if size := proto.Size(m); size > maxMessage {
		return refused(codes.ResourceExhausted, gauge.Say("refusal.answer.too-large", gauge.Count("size", size), gauge.Count("most", maxMessage)))
	}
	return nil
}
