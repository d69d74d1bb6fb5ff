package chain

import (
	"crypto/ed25519"
	"encoding/hex"
	"fmt"
	"net/url"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
)

// headDomain is the first word of a head, and the first text of what is signed.
const headDomain = "gauged-head-1"

// Head is where a history ended at a time, signed by its station.
type Head struct {
	Seq     uint64    // number of the last fact
	Time    time.Time // when it was signed, to the second
	Digest  []byte    // of the link that ends with it; in a head that was typed from paper the first bytes of it
	Station string
	// Signature is that of ed25519; empty in a head that was typed from paper without it.
	Signature []byte
}

// Sign returns the head with its signature.
func (h Head) Sign(key ed25519.PrivateKey) Head {
	h.Time = h.Time.UTC().Truncate(time.Second)
	h.Signature = ed25519.Sign(key, h.signed())
	return h
}

// SignedBy reports whether the head is signed with the key that has a public half.
func (h Head) SignedBy(public ed25519.PublicKey) bool {
	return len(public) == ed25519.PublicKeySize && ed25519.Verify(public, h.signed(), h.Signature)
}

func (h Head) signed() []byte {
	return Form(nil).Text(headDomain).Int(int64(h.Seq)).Int(h.Time.Unix()).Bytes(h.Digest).Text(h.Station)
}

// Is reports whether the head is that of a link with a digest, as far as it has it.
func (h Head) Is(digest []byte) bool {
	return len(h.Digest) >= leastDigest && len(h.Digest) <= len(digest) && string(digest[:len(h.Digest)]) == string(h.Digest)
}

// String is the head in one line, as ParseHeads reads it.
func (h Head) String() string { return h.line(hex.EncodeToString) }

// Grouped is String with the long numbers in groups that can break where a line ends.
func (h Head) Grouped() string { return h.line(grouped) }

func (h Head) line(digits func([]byte) string) string {
	if len(h.Signature) == 0 {
		return fmt.Sprintf("%d %s", h.Seq, digits(h.Digest))
	}
	words := []string{headDomain, strconv.FormatUint(h.Seq, 10), h.Time.UTC().Format(time.RFC3339), stationWord(h.Station), digits(h.Digest), digits(h.Signature)}
	return strings.Join(words, " ")
}

// stationWord is the name of a station as one word: - for none.
func stationWord(name string) string {
	if name == "" || name == "-" {
		return "-"
	}
	return url.PathEscape(name)
}

// grouped are hexadecimal digits in groups of eight.
func grouped(b []byte) string {
	const group = 4
	var text []string
	for ; len(b) > group; b = b[group:] {
		text = append(text, hex.EncodeToString(b[:group]))
	}
	return strings.Join(append(text, hex.EncodeToString(b)), " ")
}

// leastDigest is how many bytes of a digest are enough.
const leastDigest = 8

// ParseHeads finds the heads in a text, such as that of a sheet, where they may be broken into
// lines and groups. All count, since one may stand in what people wrote on the sheet; one that
// cannot be read counts only where no other can. Without a head in it the text is read as a
// number of the history and the first 16 or more digits of its digest.
func ParseHeads(text string) (all []Head, err error) {
	words := strings.FieldsFunc(text, func(r rune) bool { return unicode.IsSpace(r) || r == '<' || r == '>' }) // a page has tags
	for i, word := range words {
		if word != headDomain {
			continue
		}
		h, wrong := parseSigned(words[i+1:])
		switch {
		case wrong != nil:
			err = wrong
		case !slices.ContainsFunc(all, func(o Head) bool { return o.String() == h.String() }):
			all = append(all, h)
		}
	}
	if len(all) > 0 {
		return all, nil
	}
	if err != nil {
		return nil, err
	}
	h, err := parseShort(words)
	return []Head{h}, err
}

// parseShort reads a number of the history and the first digits of its digest.
func parseShort(words []string) (Head, error) {
	if len(words) < 2 {
		return Head{}, fmt.Errorf("there is no head in it: it begins with %s, or is a number and at least %d digits of a digest", headDomain, 2*leastDigest)
	}
	var h Head
	var err error
	if h.Seq, err = strconv.ParseUint(words[0], 10, 63); err != nil {
		return Head{}, fmt.Errorf("%q is no number of the history", words[0])
	}
	h.Digest, err = hex.DecodeString(strings.Join(words[1:], ""))
	if err != nil || len(h.Digest) < leastDigest || len(h.Digest) > len(Digest{}) {
		return Head{}, fmt.Errorf("%q is no digest: %d to %d hexadecimal digits, an even number", strings.Join(words[1:], " "), 2*leastDigest, 2*len(Digest{}))
	}
	return h, nil
}

func parseSigned(words []string) (h Head, err error) {
	if len(words) < 3 {
		return h, fmt.Errorf("the head ends after %d words", len(words))
	}
	if h.Seq, err = strconv.ParseUint(words[0], 10, 63); err != nil {
		return h, fmt.Errorf("%q is no number of the history", words[0])
	}
	if h.Time, err = time.Parse(time.RFC3339, words[1]); err != nil {
		return h, fmt.Errorf("%q is no time, such as 2026-03-02T07:00:00Z", words[1])
	}
	if h.Station, err = url.PathUnescape(words[2]); err != nil {
		return h, fmt.Errorf("%q is no name of a station: %w", words[2], err)
	}
	if words[2] == "-" {
		h.Station = ""
	}
	words = words[3:]
	if h.Digest, words, err = digits("digest", words, len(Digest{})); err != nil {
		return h, err
	}
	h.Signature, _, err = digits("signature", words, ed25519.SignatureSize)
	return h, err
}

// digits takes so many bytes from the words that have them in hexadecimal digits.
func digits(what string, words []string, size int) (bytes []byte, rest []string, err error) {
	text := ""
	for i := 0; ; i++ {
		if len(text) == 2*size {
			bytes, err := hex.DecodeString(text)
			if err != nil {
				return nil, nil, fmt.Errorf("the %s %q of the head has other than hexadecimal digits", what, text)
			}
			return bytes, words[i:], nil
		}
		if i == len(words) || len(text) > 2*size {
			return nil, nil, fmt.Errorf("the %s of the head has %d digits instead of %d", what, len(text), 2*size)
		}
		text += words[i]
	}
}

// Signed reports whether all heads that have a signature are signed by a key; nil: none has one.
func Signed(heads []Head, by ed25519.PublicKey) (all *bool) {
	for _, h := range heads {
		if len(h.Signature) > 0 {
			yes := (all == nil || *all) && h.SignedBy(by)
			all = &yes
		}
	}
	return all
}
