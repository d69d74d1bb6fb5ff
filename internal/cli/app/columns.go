package app

import (
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/timestamppb"

	pb "gauged/api/gauged/v1"
)

// Columns are those of the entries of a list, as CSV has them, with their kinds. A value
// of a gauge has one more: how many picometres it is, or billionths of its unit.
func Columns(entry proto.Message) (columns []Column) {
	d := entry.ProtoReflect().Descriptor()
	kinds := map[string]Column{}
	typed(d, nil, "", 1, kinds)
	for _, c := range columnsOf(d, "", 1) {
		one := Column{Name: c.name, Text: func(m proto.Message) string { return c.cell(m.ProtoReflect()) }}
		if k, ok := kinds[c.name]; ok {
			one.Kind, one.Value = k.Kind, k.Value
		}
		columns = append(columns, one)
		for _, exact := range []string{"_picometres", "_billionths"} {
			if k, ok := kinds[c.name+exact]; ok {
				columns = append(columns, k)
			}
		}
	}
	return columns
}

// typed puts down the columns of a message that have another kind than text, by name. The
// message is found from the entry along a path of fields.
func typed(d protoreflect.MessageDescriptor, path []protoreflect.FieldDescriptor, prefix string, deep int, kinds map[string]Column) {
	for i := range d.Fields().Len() {
		f := d.Fields().Get(i)
		name, to := prefix+string(f.Name()), append(path[:len(path):len(path)], f)
		switch {
		case f.IsList() || f.IsMap():
		case f.Kind() != protoreflect.MessageKind:
			if kind := kindOf(f); kind != KindText {
				kinds[name] = Column{Kind: kind, Value: func(m proto.Message) any { return scalar(m.ProtoReflect(), to) }}
			}
		case f.Message().FullName() == (*timestamppb.Timestamp)(nil).ProtoReflect().Descriptor().FullName():
			kinds[name] = Column{Kind: KindTime, Value: func(m proto.Message) any {
				if at := found(m.ProtoReflect(), to); at != nil {
					return at.Interface().(*timestamppb.Timestamp).AsTime()
				}
				return nil
			}}
		case f.Message().FullName() == (*pb.Quantity)(nil).ProtoReflect().Descriptor().FullName():
			exactly(name, to, kinds)
		case deep > 0:
			typed(f.Message(), to, name+"_", deep-1, kinds)
		}
	}
}

// exactly puts down the columns with the exact value of a quantity.
func exactly(name string, path []protoreflect.FieldDescriptor, kinds map[string]Column) {
	quantity := func(m proto.Message) *pb.Quantity {
		if at := found(m.ProtoReflect(), path); at != nil {
			return at.Interface().(*pb.Quantity)
		}
		return nil
	}
	for unit, value := range map[string]func(*pb.Quantity) any{
		"_picometres": func(q *pb.Quantity) any {
			if x, ok := q.GetExact().(*pb.Quantity_Picometres); ok {
				return x.Picometres
			}
			return nil
		},
		"_billionths": func(q *pb.Quantity) any {
			if x, ok := q.GetExact().(*pb.Quantity_Billionths); ok {
				return x.Billionths
			}
			return nil
		},
	} {
		kinds[name+unit] = Column{Name: name + unit, Kind: KindInteger, Text: func(m proto.Message) string {
			if x, ok := value(quantity(m)).(int64); ok {
				return protoreflect.ValueOfInt64(x).String()
			}
			return ""
		}, Value: func(m proto.Message) any { return value(quantity(m)) }}
	}
}

func kindOf(f protoreflect.FieldDescriptor) Kind {
	switch f.Kind() {
	case protoreflect.BoolKind:
		return KindBool
	case protoreflect.Int32Kind, protoreflect.Int64Kind, protoreflect.Uint32Kind, protoreflect.Uint64Kind:
		return KindInteger
	case protoreflect.DoubleKind, protoreflect.FloatKind:
		return KindNumber
	case protoreflect.BytesKind:
		return KindBytes
	}
	return KindText
}

// scalar is the plain value at the end of a path; nil: there is none.
func scalar(m protoreflect.Message, path []protoreflect.FieldDescriptor) any {
	last := path[len(path)-1]
	if m = found(m, path[:len(path)-1]); m == nil || last.HasPresence() && !m.Has(last) {
		return nil
	}
	switch v := m.Get(last); last.Kind() {
	case protoreflect.BoolKind:
		return v.Bool()
	case protoreflect.Uint32Kind, protoreflect.Uint64Kind:
		return int64(v.Uint())
	case protoreflect.Int32Kind, protoreflect.Int64Kind:
		return v.Int()
	case protoreflect.BytesKind:
		return v.Bytes()
	default:
		return v.Float()
	}
}

// found is the message at the end of a path; nil: there is none.
func found(m protoreflect.Message, path []protoreflect.FieldDescriptor) protoreflect.Message {
	for _, f := range path {
		if !m.Has(f) {
			return nil
		}
		m = m.Get(f).Message()
	}
	return m
}
