package server

import (
	"google.golang.org/protobuf/encoding/protowire"
	"google.golang.org/protobuf/reflect/protoreflect"
)

// crowded returns the list of an encoded message that has more entries than mostOf takes of
// it, in all that the message says, and how many; "": there is none. What cannot be read
// has no entries.
func crowded(b []byte, d protoreflect.MessageDescriptor) (list protoreflect.FullName, n int) {
	counts := map[protoreflect.FullName]int{}
	count(b, d, counts)
	for of, are := range counts {
		if are > mostOf[of] && (list == "" || of < list) {
			list, n = of, are
		}
	}
	return list, n
}

// count adds up the entries of each list, through everything that an encoded message has
// in it.
func count(b []byte, d protoreflect.MessageDescriptor, counts map[protoreflect.FullName]int) {
	for len(b) > 0 {
		number, kind, n := protowire.ConsumeTag(b)
		if n < 0 {
			return
		}
		b = b[n:]
		if n = protowire.ConsumeFieldValue(number, kind, b); n < 0 {
			return
		}
		value := b[:n]
		b = b[n:]
		f := d.Fields().ByNumber(number)
		if f == nil {
			continue
		}
		if kind == protowire.BytesType {
			value, _ = protowire.ConsumeBytes(value)
		}
		if f.Cardinality() == protoreflect.Repeated {
			counts[f.FullName()] += entriesIn(f, kind, value)
		}
		if kind == protowire.BytesType && hasLists(f.Message()) {
			count(value, f.Message(), counts)
		}
	}
}

// entriesIn is how many entries of a list one field of an encoded message has: one, or of a
// packed list as many as there are.
func entriesIn(f protoreflect.FieldDescriptor, kind protowire.Type, value []byte) (n int) {
	switch f.Kind() {
	case protoreflect.MessageKind, protoreflect.GroupKind, protoreflect.StringKind, protoreflect.BytesKind:
		return 1
	case protoreflect.Fixed32Kind, protoreflect.Sfixed32Kind, protoreflect.FloatKind:
		n = len(value) / 4
	case protoreflect.Fixed64Kind, protoreflect.Sfixed64Kind, protoreflect.DoubleKind:
		n = len(value) / 8
	default:
		for _, b := range value {
			n += int(^b >> 7) // the last byte of a varint
		}
	}
	if kind != protowire.BytesType {
		return 1
	}
	return n
}
