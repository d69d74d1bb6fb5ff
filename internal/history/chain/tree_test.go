package chain

import (
	"cmp"
	"crypto/ed25519"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"strings"
	"testing"
	"time"
)

// TestTree: the published inputs and roots of the Merkle trees of RFC 6962, whose definition
// RFC 9162, 2.1.1, repeats, as the tests of its implementations have them; written down from
// memory.
func TestTree(t *testing.T) {
	inputs := []string{"", "00", "10", "2021", "3031", "40414243", "5051525354555657", "606162636465666768696a6b6c6d6e6f"}
	roots := []string{
		"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
		"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
		"aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
		"d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
		"4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
		"76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
		"ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
		"5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
	}
	var tree Tree
	if got := tree.Root(); got != sha256.Sum256(nil) {
		t.Errorf("no leaf: %x", got)
	}
	for i, input := range inputs {
		data, err := hex.DecodeString(input)
		if err != nil {
			t.Fatal(err)
		}
		tree.Add(Form(append([]byte{leaf}, data...)).Leaf())
		if got := tree.Root(); hex.EncodeToString(got[:]) != roots[i] {
			t.Errorf("%d leaves: %x, want %s", i+1, got, roots[i])
		}
	}
	tree.Clear()
	if got := tree.Root(); got != sha256.Sum256(nil) {
		t.Errorf("cleared: %x", got)
	}
}

// TestFormsDiffer: no two sequences of values have one form.
func TestFormsDiffer(t *testing.T) {
	seen := map[string]int{}
	for i, f := range []Form{
		Form(nil).Text("ab").Text("c"), Form(nil).Text("a").Text("bc"), Form(nil).Text("abc"), Form(nil).Bytes([]byte("abc")),
		Form(nil).Int(1), Form(nil).Text("1"), Form(nil).Int(-1), Form(nil).Text(""), Form(nil).Bytes(nil), nil,
		Form(nil).Fact("readings", 1), Form(nil).Fact("readings", 2), Form(nil).Fact("rejects", 1),
	} {
		if other, is := seen[string(f)]; is {
			t.Errorf("%d and %d are one form", i, other)
		}
		seen[string(f)] = i
	}
}

func TestHead(t *testing.T) {
	key := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	public := key.Public().(ed25519.PublicKey)
	digest := sha256.Sum256([]byte("a history"))
	head := Head{Seq: 48213, Time: time.Date(2026, 3, 2, 7, 0, 0, 123, time.FixedZone("", 3600)), Digest: digest[:], Station: "bench 1"}.Sign(key)
	line := head.String()
	for name, text := range map[string]string{
		"as it is":           line,
		"digest in capitals": strings.Replace(line, hex.EncodeToString(digest[:]), strings.ToUpper(hex.EncodeToString(digest[:])), 1),
		"in groups of eight": head.Grouped(),
		"between other text": "Job 7\n" + line + " Technician 12",
		"in a page":          "<p>" + line + "</p>",
		"behind half of one": "order gauged-head-1 5 2026-03-02T07:00:00Z b 00 " + line,
		"in groups":          strings.Replace(line, line[60:90], line[60:70]+"\n  "+line[70:80]+" "+line[80:90], 1),
	} {
		back, err := one(ParseHeads(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if back.String() != line || !back.SignedBy(public) || !back.Is(digest[:]) {
			t.Errorf("%s: %s comes back as %s", name, line, back)
		}
	}
	for _, change := range []func(*Head){
		func(h *Head) { h.Seq++ },
		func(h *Head) { h.Time = h.Time.Add(time.Second) },
		func(h *Head) { h.Station = "bench 2" },
		func(h *Head) { h.Digest = make([]byte, 32) },
		func(h *Head) { h.Signature = make([]byte, 64) },
	} {
		changed := head
		if change(&changed); changed.SignedBy(public) {
			t.Errorf("a changed head is signed: %s", changed)
		}
	}
	for _, name := range []string{"", "a b", "Prüfplatz 1", "50%"} {
		h := Head{Seq: 1, Digest: digest[:], Station: name}.Sign(key)
		if back, err := one(ParseHeads(h.Grouped() + " and more")); err != nil || back.Station != name || !back.SignedBy(public) {
			t.Errorf("station %q comes back as %+v, %v", name, back, err)
		}
	}
	short, err := one(ParseHeads("48213 " + hex.EncodeToString(digest[:4]) + " " + hex.EncodeToString(digest[4:8])))
	if err != nil || short.Seq != 48213 || !short.Is(digest[:]) || short.SignedBy(public) {
		t.Errorf("typed from paper: %+v, %v", short, err)
	}
}

// one is the head of a text that has one.
func one(all []Head, err error) (Head, error) {
	if len(all) != 1 {
		return Head{}, cmp.Or(err, fmt.Errorf("%d heads", len(all)))
	}
	return all[0], err
}

// TestSeveralHeads: all heads in a text count, since somebody may have written one into what
// stands on a sheet above its own.
func TestSeveralHeads(t *testing.T) {
	key := ed25519.NewKeyFromSeed(make([]byte, ed25519.SeedSize))
	public := key.Public().(ed25519.PublicKey)
	earlier, own := Head{Seq: 1, Digest: make([]byte, 32), Station: "b"}.Sign(key), Head{Seq: 2, Digest: make([]byte, 32), Station: "b"}.Sign(key)
	all, err := ParseHeads("Order " + earlier.String() + "\nReason gauged-head-1\n" + own.Grouped() + "\n" + own.String())
	if err != nil || len(all) != 2 || all[0].Seq != 1 || all[1].Seq != 2 {
		t.Errorf("%v, %v", all, err)
	}
	forged := own
	forged.Seq = 3
	for _, c := range []struct {
		heads []Head
		want  string
	}{{all, "true"}, {[]Head{forged, own}, "false"}, {[]Head{own, forged}, "false"}, {[]Head{{Seq: 1, Digest: make([]byte, 8)}}, "none"}} {
		got := "none"
		if signed := Signed(c.heads, public); signed != nil {
			got = fmt.Sprint(*signed)
		}
		if got != c.want {
			t.Errorf("%v are signed: %s, want %s", c.heads, got, c.want)
		}
	}
}

func TestHeadThatIsNone(t *testing.T) {
	zeros := strings.Repeat("0", 64)
	for text, want := range map[string]string{
		"":                        "there is no head in it: it begins with gauged-head-1, or is a number and at least 16 digits of a digest",
		"x 0011223344556677":      `"x" is no number of the history`,
		"5 0011":                  `"0011" is no digest: 16 to 64 hexadecimal digits, an even number`,
		"5 00112233445566778":     `"00112233445566778" is no digest: 16 to 64 hexadecimal digits, an even number`,
		"gauged-head-1 5":         "the head ends after 1 words",
		"gauged-head-1 -5 2026 b": `"-5" is no number of the history`,
		"gauged-head-1 5 2026 b":  `"2026" is no time, such as 2026-03-02T07:00:00Z`,
		"gauged-head-1 5 2026-03-02T07:00:00Z b 00":                      "the digest of the head has 2 digits instead of 64",
		"gauged-head-1 5 2026-03-02T07:00:00Z b " + zeros + " 00":        "the signature of the head has 2 digits instead of 128",
		"gauged-head-1 5 2026-03-02T07:00:00Z b " + zeros[:62] + "xx 00": `the digest "` + zeros[:62] + `xx" of the head has other than hexadecimal digits`,
	} {
		if _, err := ParseHeads(text); err == nil || err.Error() != want {
			t.Errorf("%q:\ngot  %v\nwant %s", text, err, want)
		}
	}
}
