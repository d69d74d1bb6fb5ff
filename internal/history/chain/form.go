package chain

import (
	"crypto/sha256"
	"encoding/binary"
)

// Domain is the first text of everything that is hashed or signed here; its number
// changes with the definition.
const Domain = "gauged chain 1"

// Digest is a SHA-256.
type Digest = [sha256.Size]byte

// Form is values one after the other, each with its type and length, so that no two
// sequences of values have the same bytes.
type Form []byte

// Text appends the bytes of a text.
func (f Form) Text(s string) Form {
	f = binary.BigEndian.AppendUint32(append(f, 't'), uint32(len(s)))
	return append(f, s...)
}

// Bytes appends bytes.
func (f Form) Bytes(b []byte) Form {
	f = binary.BigEndian.AppendUint32(append(f, 'b'), uint32(len(b)))
	return append(f, b...)
}

// Int appends a number.
func (f Form) Int(n int64) Form {
	return binary.BigEndian.AppendUint64(append(f, 'i'), uint64(n))
}

// Fact begins the form of a fact in the room of f: what kind it is and its number. Each
// other field that has a value follows with its name.
func (f Form) Fact(kind string, seq uint64) Form {
	return append(f[:0], leaf).Text(kind).Int(int64(seq)) // the first byte is that of the tree
}

// Leaf is the digest of the form of a fact.
func (f Form) Leaf() Digest { return sha256.Sum256(f) }
