package webhook

import (
	"crypto/hmac"
	"crypto/sha256"
	"encoding/base64"
	"strconv"
	"strings"
	"time"
)

// The headers of Standard Webhooks.
const (
	headerID        = "Webhook-Id"
	headerTime      = "Webhook-Timestamp"
	headerSignature = "Webhook-Signature"
)

// sign returns the signatures of a letter that is sent at a time, one of each secret: HMAC
// with SHA-256 over the id, the seconds since 1970 and the body, with dots between them.
func (s Secrets) sign(id string, at time.Time, body []byte) string {
	var all []string
	for _, key := range s.keys {
		mac := hmac.New(sha256.New, []byte(key))
		mac.Write([]byte(id + "." + seconds(at) + "."))
		mac.Write(body)
		all = append(all, "v1,"+base64.StdEncoding.EncodeToString(mac.Sum(nil)))
	}
	return strings.Join(all, " ")
}

func seconds(t time.Time) string { return strconv.FormatInt(t.Unix(), 10) }
