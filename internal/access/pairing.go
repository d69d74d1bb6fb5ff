package access

import (
	"crypto/rand"
	"crypto/subtle"
	"math/big"
	"strings"
	"sync"
	"time"
)

const (
	codeDigits = 8
	codeLives  = 10 * time.Minute
	codeTries  = 100 // wrong codes that end the right one: 1 in a million that one was guessed
)

// Pairing is the code with which one new device may come in: it is shown at the bench,
// serves once, and ends after ten minutes or a hundred wrong codes. The zero Pairing has none.
type Pairing struct {
	mu    sync.Mutex
	code  string
	by    string
	until time.Time
	wrong int
}

// Begin makes a code, in place of one that was not used. It returns the code and when it ends.
func (p *Pairing) Begin(by string, now time.Time) (code string, until time.Time) {
	n, _ := rand.Int(rand.Reader, new(big.Int).Exp(big.NewInt(10), big.NewInt(codeDigits), nil)) // never fails
	digits := n.String()
	digits = strings.Repeat("0", codeDigits-len(digits)) + digits
	p.mu.Lock()
	defer p.mu.Unlock()
	p.code, p.by, p.until, p.wrong = digits, by, now.Add(codeLives), 0
	return digits[:4] + " " + digits[4:], p.until
}

// Use reports whether code is the one that was made, and who made it. Then it serves no
// more. Blanks and hyphens in it do not count.
func (p *Pairing) Use(code string, now time.Time) (by string, ok bool) {
	code = strings.NewReplacer(" ", "", "-", "", "\u00a0", "").Replace(code)
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.code == "" || !now.Before(p.until) {
		p.code = ""
		return "", false
	}
	if subtle.ConstantTimeCompare([]byte(code), []byte(p.code)) == 0 {
		if p.wrong++; p.wrong >= codeTries {
			p.code = ""
		}
		return "", false
	}
	p.code = ""
	return p.by, true
}
