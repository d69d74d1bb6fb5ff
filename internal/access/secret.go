package access

import (
	"crypto/rand"
	"crypto/subtle"
	"encoding/base64"
	"fmt"
	"strings"

	"golang.org/x/crypto/argon2"
)

// The costs of a hash are the least that the OWASP Password Storage Cheat Sheet names for
// argon2id, from memory. A PIN has few digits: what protects it is that wrong tries slow
// down, and that nobody else reads the history.
const (
	hashMemory = 19 << 10 // KiB
	hashPasses = 2
	hashLanes  = 1
	hashBytes  = 32
	saltBytes  = 16
)

// hashing is how many hashes are computed at a time, so that a flood of tries takes
// 38 MiB at most.
var hashing = make(chan struct{}, 2)

// HashSecret hashes what a person knows or carries, a PIN or a badge, with argon2id
// (RFC 9106), as $argon2id$v=19$m=19456,t=2,p=1$SALT$HASH. A nil salt: a new one.
func HashSecret(secret string, salt []byte) string {
	if salt == nil {
		salt = make([]byte, saltBytes)
		_, _ = rand.Read(salt) // never fails
	}
	hashing <- struct{}{}
	defer func() { <-hashing }()
	sum := argon2.IDKey([]byte(secret), salt, hashPasses, hashMemory, hashLanes, hashBytes)
	return fmt.Sprintf("$argon2id$v=%d$m=%d,t=%d,p=%d$%s$%s", argon2.Version, hashMemory, hashPasses, hashLanes, encode(salt), encode(sum))
}

// SameSecret reports whether a hash is that of a secret. It takes as long for a wrong
// secret as for the right one.
func SameSecret(hash, secret string) bool {
	salt := saltOf(hash)
	if salt == nil {
		return false
	}
	return subtle.ConstantTimeCompare([]byte(HashSecret(secret, salt)), []byte(hash)) == 1
}

// saltOf is the salt of a hash; nil when the text is none.
func saltOf(hash string) []byte {
	parts := strings.Split(hash, "$")
	if len(parts) != 6 {
		return nil
	}
	salt, err := base64.RawStdEncoding.DecodeString(parts[4])
	if err != nil || len(salt) != saltBytes {
		return nil
	}
	return salt
}

func encode(b []byte) string { return base64.RawStdEncoding.EncodeToString(b) }
