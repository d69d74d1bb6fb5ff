package app

import (
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/durationpb"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/cli/show"
	"gauged/internal/table"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// writeMessageCSV writes the entries of a message's list under the names of their
// fields. A message without a list is written as the names and values of its fields.
func writeMessageCSV(w io.Writer, m proto.Message) error {
	fields := m.ProtoReflect().Descriptor().Fields()
	for i := range fields.Len() {
		f := fields.Get(i)
		if !f.IsList() || f.Kind() != protoreflect.MessageKind {
			continue
		}
		columns := columnsOf(f.Message(), "", 1)
		rows := [][]string{heads(columns)}
		list := m.ProtoReflect().Get(f).List()
		for k := range list.Len() {
			rows = append(rows, cells(columns, list.Get(k).Message()))
		}
		return table.Write(w, rows)
	}
	var text strings.Builder
	if err := writeJSON(&text, m, false); err != nil {
		return err
	}
	return writeFields(w, text.String())
}

// entryColumns are those of an entry of a stream; where it has a message as its only
// field, those of the message.
func entryColumns(d protoreflect.MessageDescriptor) (columns []column) {
	only := d.Fields().Get(0)
	if d.Fields().Len() != 1 || only.Kind() != protoreflect.MessageKind || only.IsList() {
		return columnsOf(d, "", 1)
	}
	for _, c := range columnsOf(only.Message(), "", 1) {
		columns = append(columns, column{c.name, func(m protoreflect.Message) string { return c.cell(m.Get(only).Message()) }})
	}
	return columns
}

// column is one column of a list of messages.
type column struct {
	name string
	cell func(protoreflect.Message) string
}

// Column is a column of a file: its text, and for forms that have kinds its value.
type Column struct {
	Name  string
	Kind  Kind
	Text  func(proto.Message) string
	Value func(proto.Message) any // int64, float64, bool, []byte or time.Time as Kind says; nil: there is none. Text has a text
}

// Kind is what the values of a column are.
type Kind int

// The kinds of columns.
const (
	KindText Kind = iota
	KindInteger
	KindNumber
	KindBool
	KindBytes
	KindTime
)

func heads(columns []column) (names []string) {
	for _, c := range columns {
		names = append(names, c.name)
	}
	return names
}

func cells(columns []column, m protoreflect.Message) (row []string) {
	for _, c := range columns {
		row = append(row, c.cell(m))
	}
	return row
}

// columnsOf are the columns of a message: one for each field, named as it is. A length
// has another one for its unit, limits have one for either end. The fields of a message
// in it have its name in front, so deep times; lists of messages are left out, but for
// those of pairs of texts, which stand in one cell.
func columnsOf(d protoreflect.MessageDescriptor, prefix string, deep int) (columns []column) {
	fields := d.Fields()
	for i := range fields.Len() {
		f := fields.Get(i)
		name := prefix + string(f.Name())
		if f.Kind() != protoreflect.MessageKind || f.IsMap() || f.IsList() && isPair(f.Message()) {
			columns = append(columns, column{name, func(m protoreflect.Message) string { return fieldText(f, m) }})
			continue
		}
		if f.IsList() {
			if isTold(f.Message()) {
				columns = append(columns, column{name, func(m protoreflect.Message) string { return toldList(m.Get(f).List()) }})
			}
			continue
		}
		known := knownColumns(f.Message(), name)
		if known == nil && deep > 0 {
			known = columnsOf(f.Message(), name+"_", deep-1)
		}
		for _, c := range known {
			columns = append(columns, column{c.name, func(m protoreflect.Message) string {
				if !m.Has(f) {
					return ""
				}
				return c.cell(m.Get(f).Message())
			}})
		}
	}
	return columns
}

// isTold reports whether messages of a kind are worded.
func isTold(d protoreflect.MessageDescriptor) bool {
	return d.FullName() == (*pb.Message)(nil).ProtoReflect().Descriptor().FullName()
}

// toldList words messages, with a semicolon between them.
func toldList(list protoreflect.List) string {
	var texts []string
	for i := range list.Len() {
		texts = append(texts, show.Told(list.Get(i).Message().Interface().(*pb.Message)))
	}
	return strings.Join(texts, "; ")
}

// knownColumns are those of lengths, limits, times and durations, and of messages.
func knownColumns(d protoreflect.MessageDescriptor, name string) []column {
	switch d.FullName() {
	case (*pb.Message)(nil).ProtoReflect().Descriptor().FullName():
		return []column{{name, func(m protoreflect.Message) string { return show.Told(m.Interface().(*pb.Message)) }}}
	case (*pb.Quantity)(nil).ProtoReflect().Descriptor().FullName():
		return []column{
			{name, func(m protoreflect.Message) string { return m.Interface().(*pb.Quantity).GetText() }},
			{name + "_unit", func(m protoreflect.Message) string { return unitText(m.Interface().(*pb.Quantity)) }},
		}
	case (*pb.Range)(nil).ProtoReflect().Descriptor().FullName():
		return []column{
			{name + "_min", func(m protoreflect.Message) string { return m.Interface().(*pb.Range).GetMin().GetText() }},
			{name + "_max", func(m protoreflect.Message) string { return m.Interface().(*pb.Range).GetMax().GetText() }},
			{name + "_unit", func(m protoreflect.Message) string {
				r := m.Interface().(*pb.Range)
				if r.GetMin() != nil {
					return unitText(r.GetMin())
				}
				return unitText(r.GetMax())
			}},
		}
	case (*timestamppb.Timestamp)(nil).ProtoReflect().Descriptor().FullName():
		return []column{{name, func(m protoreflect.Message) string {
			return m.Interface().(*timestamppb.Timestamp).AsTime().UTC().Format(time.RFC3339Nano)
		}}}
	case (*durationpb.Duration)(nil).ProtoReflect().Descriptor().FullName():
		return []column{{name, func(m protoreflect.Message) string { return m.Interface().(*durationpb.Duration).AsDuration().String() }}}
	}
	return nil
}

func unitText(l *pb.Quantity) string {
	if u := wire.FromUnit(l.GetUnit()); u.Known() {
		return u.String()
	}
	return ""
}

// isPair reports whether a message is two plain values, such as a place and its part, or
// a reason and how often it was; the second may be a text to word.
func isPair(d protoreflect.MessageDescriptor) bool {
	fields := d.Fields()
	if fields.Len() != 2 || fields.Get(0).IsList() || fields.Get(1).IsList() {
		return false
	}
	second := fields.Get(1)
	return fields.Get(0).Kind() != protoreflect.MessageKind && (second.Kind() != protoreflect.MessageKind || isTold(second.Message()))
}

// pairText writes two values with an equals sign between them, the second alone where the
// first is empty.
func pairText(m protoreflect.Message) string {
	fields := m.Descriptor().Fields()
	first, second := fieldText(fields.Get(0), m), ""
	if f := fields.Get(1); f.Kind() == protoreflect.MessageKind {
		second = show.Told(m.Get(f).Message().Interface().(*pb.Message))
	} else {
		second = fieldText(f, m)
	}
	if first == "" {
		return second
	}
	return first + "=" + second
}

// fieldText is a field that is no message: empty where it is optional and not set.
// Several values have a semicolon between them.
func fieldText(f protoreflect.FieldDescriptor, m protoreflect.Message) string {
	value := m.Get(f)
	switch {
	case f.IsMap():
		pairs := map[string]string{}
		value.Map().Range(func(k protoreflect.MapKey, v protoreflect.Value) bool {
			pairs[k.String()] = scalarText(f.MapValue(), v)
			return true
		})
		var texts []string
		for _, key := range slices.Sorted(maps.Keys(pairs)) {
			texts = append(texts, key+"="+pairs[key])
		}
		return strings.Join(texts, "; ")
	case f.IsList():
		var texts []string
		for i := range value.List().Len() {
			texts = append(texts, scalarText(f, value.List().Get(i)))
		}
		return strings.Join(texts, "; ")
	case f.HasPresence() && !m.Has(f):
		return ""
	}
	return scalarText(f, value)
}

// scalarText writes an enum as its word: GAUGE_STATE_LIVE is live.
func scalarText(f protoreflect.FieldDescriptor, v protoreflect.Value) string {
	switch f.Kind() {
	case protoreflect.EnumKind:
		values := f.Enum().Values()
		one := values.ByNumber(v.Enum())
		if one == nil || v.Enum() == 0 {
			return ""
		}
		prefix := strings.TrimSuffix(string(values.Get(0).Name()), "UNSPECIFIED")
		return strings.ToLower(strings.TrimPrefix(string(one.Name()), prefix))
	case protoreflect.MessageKind:
		if isPair(v.Message().Descriptor()) {
			return pairText(v.Message())
		}
		return fmt.Sprintf("%v", v.Message().Interface())
	case protoreflect.BytesKind:
		return string(v.Bytes())
	}
	return v.String()
}
