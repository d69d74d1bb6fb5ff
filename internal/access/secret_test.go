package access

import (
	"strings"
	"sync"
	"testing"
)

// The wanted hash was made by the reference implementation's own program (the package
// argon2 of Debian): printf 4711 | argon2 sixteen-salt-byt -id -t 2 -k 19456 -p 1 -e
func TestHashIsThatOfTheReferenceImplementation(t *testing.T) {
	const want = "$argon2id$v=19$m=19456,t=2,p=1$c2l4dGVlbi1zYWx0LWJ5dA$UU/d2VL1d9Z67HheXx9nwixXYOtLnp8u3mH9deHYVVk"
	if got := HashSecret("4711", []byte("sixteen-salt-byt")); got != want {
		t.Errorf("hash is %s, want %s", got, want)
	}
	if !SameSecret(want, "4711") || SameSecret(want, "4712") {
		t.Error("the right secret is refused, or a wrong one taken")
	}
}

func TestSaltsDiffer(t *testing.T) {
	if a, b := HashSecret("4711", nil), HashSecret("4711", nil); a == b || !SameSecret(a, "4711") || !SameSecret(b, "4711") {
		t.Errorf("two hashes of one PIN: %s and %s", a, b)
	}
}

// What is no hash is the hash of nothing.
func TestWhatIsNoHash(t *testing.T) {
	for _, text := range []string{"", "4711", "$argon2id$v=19$m=19456,t=2,p=1$AAAA$AAAA", strings.Repeat("$", 5)} {
		if SameSecret(text, "") || SameSecret(text, "4711") {
			t.Errorf("%q is taken for a hash", text)
		}
	}
}

// A flood of tries is computed two at a time: no other can begin meanwhile.
func TestHashesAreBounded(t *testing.T) {
	var flood sync.WaitGroup
	for range 8 {
		flood.Go(func() { HashSecret("1", nil) })
	}
	flood.Wait()
	if cap(hashing) != 2 || len(hashing) != 0 {
		t.Errorf("%d of %d places for hashes are taken, want none of 2", len(hashing), cap(hashing))
	}
}
