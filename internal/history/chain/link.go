package chain

import "crypto/sha256"

// MaxLink is the most facts of a link; a commit that has more gets several.
const MaxLink = 1024

// Link is one row of the chain: facts that were committed together.
type Link struct {
	First, Last uint64 // numbers of the facts, without a hole
	// Upgrade: they had been stored before there was a chain.
	Upgrade bool
	Root    Digest // of the tree over them
}

// Begin is the digest before the first link of the history with an identity.
func Begin(historyID string) Digest {
	return sha256.Sum256(Form(nil).Text(Domain).Text(historyID))
}

// After is the digest of the link that follows a digest.
func (l Link) After(before Digest) Digest {
	upgrade := int64(0)
	if l.Upgrade {
		upgrade = 1
	}
	return sha256.Sum256(Form(nil).Text(Domain).Bytes(before[:]).Int(int64(l.First)).Int(int64(l.Last)).Int(upgrade).Bytes(l.Root[:]))
}

// MarkSize is the length of a mark.
const MarkSize = 4

// Marks are the first bytes of the leaves of a link, one after the other. They prove
// nothing: they say which fact differs where a link does.
type Marks []byte

// Add adds the mark of a leaf.
func (m Marks) Add(d Digest) Marks { return append(m, d[:MarkSize]...) }

// Count is how many marks there are.
func (m Marks) Count() int { return len(m) / MarkSize }

// Is reports whether the i-th mark, from 0, is that of a leaf.
func (m Marks) Is(i int, d Digest) bool {
	return i >= 0 && i < m.Count() && string(m[i*MarkSize:(i+1)*MarkSize]) == string(d[:MarkSize])
}
