package chain

import "crypto/sha256"

// The first bytes of what a tree hashes: of a leaf, and of two subtrees (RFC 9162, 2.1.1).
const (
	leaf byte = 0
	node byte = 1
)

// Tree is the Merkle tree over leaves that are added one by one, as RFC 9162, 2.1.1,
// defines it. The zero value has none.
type Tree struct {
	whole []Digest // roots of the complete subtrees, the largest first
	n     uint64
}

// Add adds a leaf.
func (t *Tree) Add(d Digest) {
	for n := t.n; n&1 == 1; n >>= 1 {
		d = join(t.whole[len(t.whole)-1], d)
		t.whole = t.whole[:len(t.whole)-1]
	}
	t.whole = append(t.whole, d)
	t.n++
}

// Root is the digest of all leaves; of none that of no bytes.
func (t *Tree) Root() Digest {
	if len(t.whole) == 0 {
		return sha256.Sum256(nil)
	}
	root := t.whole[len(t.whole)-1]
	for i := len(t.whole) - 2; i >= 0; i-- {
		root = join(t.whole[i], root)
	}
	return root
}

// Clear takes all leaves out.
func (t *Tree) Clear() { t.whole, t.n = t.whole[:0], 0 }

func join(left, right Digest) Digest {
	var both [1 + 2*sha256.Size]byte
	both[0] = node
	copy(both[1:], left[:])
	copy(both[1+sha256.Size:], right[:])
	return sha256.Sum256(both[:])
}
