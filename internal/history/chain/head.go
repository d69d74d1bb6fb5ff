package chain

import (
	"crypto/ed25519"
	"encoding/hex"
	"fmt"
	"strconv"
	"strings"
	"time"
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

// String is the head in one line, as ParseHead reads it.
func (h Head) String() string {
	line := fmt.Sprintf("%s %d %s %x", headDomain, h.Seq, h.Time.Format(time.RFC3339), h.Digest)
	if len(h.Signature) > 0 {
		line += fmt.Sprintf(" %x %s", h.Signature, h.Station)
	}
	return line
}

// leastDigest is how many bytes of a digest are enough.
const leastDigest = 8

// ParseHead finds a head in a text, such as that of a sheet, where it may be broken into
// lines and groups. Without a head in it the text is read as a number of the history and
// the first 16 or more digits of its digest.
func ParseHead(text string) (Head, error) {
	words := strings.Fields(text)
	for i, word := range words {
		if word == headDomain {
			return parseSigned(words[i+1:])
		}
	}
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
	if len(words) < 2 {
		return h, fmt.Errorf("the head ends after %d words", len(words))
	}
	if h.Seq, err = strconv.ParseUint(words[0], 10, 63); err != nil {
		return h, fmt.Errorf("%q is no number of the history", words[0])
	}
	if h.Time, err = time.Parse(time.RFC3339, words[1]); err != nil {
		return h, fmt.Errorf("%q is no time, such as 2026-03-02T07:00:00Z", words[1])
	}
	words = words[2:]
	if h.Digest, words, err = digits("digest", words, len(Digest{})); err != nil {
		return h, err
	}
	if h.Signature, words, err = digits("signature", words, ed25519.SignatureSize); err != nil {
		return h, err
	}
	h.Station = strings.Join(words, " ")
	return h, nil
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
