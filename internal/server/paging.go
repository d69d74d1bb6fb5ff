package server

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"slices"
	"strconv"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	"gauged/internal/gauge"
)

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

// listRequest asks for a page of a list.
type listRequest interface {
	proto.Message
	GetPageSize() uint32
	GetPageToken() string
}

// paging is which page is wanted, and how much goes on it.
type paging struct {
	limit int    // entries
	after string // key of the last entry of the page before; empty: the first page
	asked []byte // what the list is of, as its tokens know it
}

// A token is tokenKind, what the list is of, the key after which the next page begins, and
// a sum over all of it: a token that lost a letter on its way leads nowhere.
const (
	tokenKind = 2
	askedSize = 8
	tokenSum  = 4
)

// onPage is the page that was asked for: as long as was said, or as is usual, but never longer than most.
func onPage(r listRequest, usual, most int) (paging, error) {
	p := paging{limit: usual, asked: listOf(r)}
	if size := r.GetPageSize(); size > 0 {
		p.limit = min(int(size), most)
	}
	if r.GetPageToken() == "" {
		return p, nil
	}
	token, err := base64.RawURLEncoding.DecodeString(r.GetPageToken())
	switch {
	case err != nil || len(token) <= 1+askedSize+tokenSum || token[0] != tokenKind || !bytes.Equal(summed(token[:len(token)-tokenSum]), token):
		return p, gauge.WrongInput("refusal.list.token", gauge.Text("token", r.GetPageToken()))
	case !bytes.Equal(token[1:1+askedSize], p.asked):
		return p, gauge.WrongInput("refusal.list.other-token")
	}
	p.after = string(token[1+askedSize : len(token)-tokenSum])
	return p, nil
}

// listOf tells lists apart: by the call and by everything in the request but the page.
func listOf(r listRequest) []byte {
	sum, err := sumOf(string(r.ProtoReflect().Descriptor().Name()), r, "page_size", "page_token")
	if err != nil {
		return nil // a text that is no UTF-8 does not come over the wire
	}
	return sum[:askedSize]
}

// sumOf tells requests of a call apart, by everything in them but some fields.
func sumOf(call string, r proto.Message, without ...string) (sum [sha256.Size]byte, err error) {
	bare := proto.Clone(r)
	for _, name := range without {
		bare.ProtoReflect().Clear(bare.ProtoReflect().Descriptor().Fields().ByTextName(name))
	}
	encoded, err := proto.MarshalOptions{Deterministic: true}.Marshal(bare)
	if err != nil {
		return sum, err
	}
	return sha256.Sum256(append([]byte(call+"\n"), encoded...)), nil
}

// token leads to the page that begins after an entry.
func (p paging) token(key string) string {
	return base64.RawURLEncoding.EncodeToString(summed(slices.Concat([]byte{tokenKind}, p.asked, []byte(key))))
}

// summed is a token with its sum.
func summed(token []byte) []byte {
	sum := sha256.Sum256(token)
	return slices.Concat(token, sum[:tokenSum])
}

// number is after where the entries have numbers; 0 on the first page.
func (p paging) number() uint64 {
	n, _ := strconv.ParseUint(p.after, 10, 64) // of a token that was made here
	return n
}

// fill makes a page of entries that follow each other. next leads to the page after it
// when more come, else it is empty. Long entries make it shorter than the limit.
func fill[E any, M proto.Message, K comparable](entries []E, p paging, convert func(E) M, key func(E) K) (page []M, next string) {
	size := 0
	for i, e := range entries {
		m := convert(e)
		size += proto.Size(m) + entryOverhead
		if i > 0 && (i == p.limit || size > maxPage) {
			return page, p.token(fmt.Sprint(key(entries[i-1])))
		}
		page = append(page, m)
	}
	return page, ""
}

// rest are the entries after the one at which the page before ended.
func rest[E any, K comparable](entries []E, p paging, key func(E) K) ([]E, error) {
	if p.after == "" {
		return entries, nil
	}
	for i, e := range entries {
		if fmt.Sprint(key(e)) == p.after {
			return entries[i+1:], nil
		}
	}
	return nil, gauge.WrongInput("refusal.list.changed", gauge.Text("entry", p.after))
}

// timedRequest asks for what lies in a span of time.
type timedRequest interface {
	GetSinceTime() *timestamppb.Timestamp
	GetUntilTime() *timestamppb.Timestamp
}

// spanOf is the span of time that is asked for.
func spanOf(r timedRequest) (span gauge.Times, err error) {
	for _, end := range []struct {
		name string
		said *timestamppb.Timestamp
		to   *time.Time
	}{{"since_time", r.GetSinceTime(), &span.Since}, {"until_time", r.GetUntilTime(), &span.Until}} {
		if end.said == nil {
			continue
		}
		if end.said.CheckValid() != nil {
			return span, gauge.WrongInput("refusal.list.time", gauge.Text("field", end.name))
		}
		*end.to = end.said.AsTime()
	}
	if r.GetSinceTime() != nil && r.GetUntilTime() != nil && !span.Since.Before(span.Until) {
		return span, gauge.WrongInput("refusal.list.empty-time", gauge.Moment("until", span.Until), gauge.Moment("since", span.Since))
	}
	return span, nil
}

// onTimedPage is the page, and the span of time, of a list that has both.
func onTimedPage(r interface {
	listRequest
	timedRequest
},
) (p paging, span gauge.Times, err error) {
	if p, err = onPage(r, usualPage, mostOnPage); err != nil {
		return p, span, err
	}
	span, err = spanOf(r)
	return p, span, err
}
