package server

import "google.golang.org/protobuf/proto"

const (
	usualPage  = 1000
	mostOnPage = 10_000
	usualJobs  = 100
	mostJobs   = 1000
	// maxPage is the most bytes of a list; it leaves a message room for the rest.
	maxPage = maxMessage - 64<<10
)

// entryOverhead is the most bytes that an entry takes besides its own.
const entryOverhead = 6

// paging is how much goes on a page.
type paging struct {
	limit int // entries
	used  int // bytes that other things on it take
}

// onPage is what was asked for, or what is usual, but never more than most.
func onPage(asked uint32, usual, most int) paging {
	if asked == 0 {
		return paging{limit: usual}
	}
	return paging{limit: min(int(asked), most)}
}

// fill makes a page of entries that follow each other. next is the key of its last one
// when more come after it, else nothing. Long entries make it shorter than the limit.
func fill[E any, M proto.Message, K comparable](entries []E, p paging, convert func(E) M, key func(E) K) (page []M, next K) {
	size := p.used
	for i, e := range entries {
		m := convert(e)
		size += proto.Size(m) + entryOverhead
		if i > 0 && (i == p.limit || size > maxPage) {
			return page, key(entries[i-1])
		}
		page = append(page, m)
	}
	return page, next
}
