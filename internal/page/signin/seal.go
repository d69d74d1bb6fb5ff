package signin

import (
	"crypto/hmac"
	"crypto/rand"
	"crypto/sha256"
	"encoding/base64"
	"net/url"
	"strconv"
	"strings"
	"time"

	"gauged/internal/gauge"
)

// sealField has when and for what it was asked who somebody is.
const sealField = "asked"

// preparedLives is how long an act that is shown can be signed: who left it on the screen
// is not taken for who comes by later.
const preparedLives = 2 * time.Minute

// seals marks what was shown to who signs, so that this and nothing else is signed, soon
// after. The secret is one of this run of the daemon.
type seals struct{ secret [sha256.Size]byte }

func newSeals() (s seals) {
	_, _ = rand.Read(s.secret[:]) // it does not fail
	return s
}

// seal marks a form that is shown on a device now.
func (s seals) seal(device, path string, form url.Values, now time.Time) string {
	at := strconv.FormatInt(now.Unix(), 10)
	return at + "." + base64.RawURLEncoding.EncodeToString(s.sum(at, device, path, form))
}

// check refuses a form that was not shown on the device as it is, or too long ago.
func (s seals) check(seal, device, path string, form url.Values, now time.Time) error {
	at, sum, _ := strings.Cut(seal, ".")
	got, err := base64.RawURLEncoding.DecodeString(sum)
	if err != nil || !hmac.Equal(got, s.sum(at, device, path, form)) {
		return gauge.UnknownCaller("refusal.access.prove")
	}
	seconds, _ := strconv.ParseInt(at, 10, 64) // sealed by us
	if age := now.Sub(time.Unix(seconds, 0)); age > preparedLives || age < -preparedLives {
		return gauge.UnknownCaller("refusal.access.prepared-late", gauge.Span("most", preparedLives))
	}
	return nil
}

func (s seals) sum(at, device, path string, form url.Values) []byte {
	h := hmac.New(sha256.New, s.secret[:])
	h.Write([]byte(url.Values{"at": {at}, "device": {device}, "path": {path}, "form": {form.Encode()}}.Encode()))
	return h.Sum(nil)
}
