package config

import (
	"net/netip"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"gauged/internal/access"
	"gauged/internal/dial"
	"gauged/internal/words"
)

// TestAccess: who may come in, the certificates and what is shown to an evaluator are
// what the file says; a file that says nothing is closed.
func TestAccess(t *testing.T) {
	dir := write(t, map[string]string{
		"closed.yaml": "station: s\nhistory: h.db\n",
		"open.yaml":   "station: s\nhistory: h.db\naccess: open\n",
		"full.yaml": "station: s\nhistory: h.db\nlisten: {grpc: 0.0.0.0:7411}\ntls: {own: yes, names: [bench.example], clients: shop.pem}\n" +
			"access:\n  users: {ada: {role: technician, name: \"Ada B.\"}, backup: reader}\n  groups: {quality: quality}\n" +
			"  certificates: {press-1: {role: station, gauges: [dial], sender: press}}\n  proxies: [127.0.0.1, 192.0.2.0/24]\n" +
			"evaluator: {address: \"site.example:7411\", ca: site.pem, token_file: t}\n",
	})
	load := func(name string) *Config {
		t.Helper()
		c, err := Load(t.Context(), filepath.Join(dir, name), noEnv)
		if err != nil {
			t.Fatal(err)
		}
		return c
	}
	if c := load("closed.yaml"); c.Access.Open || !c.IsOpen().IsZero() || c.TLS.Given() {
		t.Errorf("closed: %+v", c.Access)
	}
	if c := load("open.yaml"); !c.Access.Open || !strings.Contains(words.In(words.English).Tell(c.IsOpen()), "nobody is asked") {
		t.Errorf("open: %+v", c.Access)
	}
	c := load("full.yaml")
	if want := (access.Rules{
		Users:        map[string]access.Grant{"ada": {Role: access.RoleTechnician, Name: "Ada B."}, "backup": {Role: access.RoleReader}},
		Groups:       map[string]access.Grant{"quality": {Role: access.RoleQuality}},
		Certificates: map[string]access.Grant{"press-1": {Role: access.RoleStation, Gauges: []string{"dial"}, Sender: "press"}},
		Proxies:      []netip.Prefix{netip.MustParsePrefix("127.0.0.1/32"), netip.MustParsePrefix("192.0.2.0/24")},
	}); !reflect.DeepEqual(c.Access, want) {
		t.Errorf("%+v\nwant %+v", c.Access, want)
	}
	if want := (access.TLS{Own: true, Names: []string{"bench.example"}, Clients: dir + "/shop.pem", Dir: dir + "/tls"}); !reflect.DeepEqual(c.TLS, want) {
		t.Errorf("%+v\nwant %+v", c.TLS, want)
	}
	if want := (dial.Files{CA: dir + "/site.pem", Token: dir + "/t"}); c.EvaluatorFiles != want || c.Evaluator != "site.example:7411" {
		t.Errorf("%s %+v, want %+v", c.Evaluator, c.EvaluatorFiles, want)
	}
	alone := write(t, map[string]string{"s.yaml": "station: s\nhistory: h.db\nevaluator: {address: \"site.example:7411\", certificate: c.pem}\n"})
	_, err := Load(t.Context(), filepath.Join(alone, "s.yaml"), noEnv)
	for language, want := range map[words.Language]string{
		words.English: ":3:12: a certificate and its key go together: give both files",
		words.German:  ":3:12: ein Zertifikat und sein Schlüssel gehören zusammen: beide Dateien angeben",
	} {
		if got := words.In(language).Error(err); !strings.HasSuffix(got, want) {
			t.Errorf("%s, want %s", got, want)
		}
	}
	checked, err := Check(t.Context(), []string{filepath.Join(dir, "open.yaml")}, noEnv)
	if err != nil || len(checked) != 1 || !strings.Contains(words.In(words.English).Tell(checked[0].Note), "nobody is asked") {
		t.Errorf("%+v, %v", checked, err)
	}
}

// TestNamesInTheFileThatLookAlike: two users, groups or certificates whose names look the same
// are a mistake at the second, and so is a sign that nobody sees. The same name twice is one person.
func TestNamesInTheFileThatLookAlike(t *testing.T) {
	for content, want := range map[string]string{
		"  users: {ada: reader, \"\u0430da\": reader}\n":                                                       ":4:24: \u0430da looks like ada, which is the name of a person or a program already: take another one",
		"  users: {ada: reader}\n  certificates: {ADA: station}\n":                                             ":5:18: ADA looks like ada, which is the name of a person or a program already: take another one",
		"  users: {ada: {role: reader, name: Ora}}\n  groups: {q: {role: quality, name: 0ra}}\n":               ":5:37: 0ra looks like Ora, which is the name of a person or a program already: take another one",
		"  users: {ada: {role: reader, name: \"A\\u200bda\"}}\n":                                               ":4:37: the name \"A\\u200bda\" has a sign in it that nobody sees (U+200B): write it with letters, digits and plain spaces",
		"  users: {ada: {role: reader, name: Ada}}\n  certificates: {Ada: station}\n  groups: {aDa: reader}\n": "",
	} {
		dir := write(t, map[string]string{"s.yaml": "station: s\nhistory: h.db\naccess:\n" + content})
		c, err := Load(t.Context(), filepath.Join(dir, "s.yaml"), noEnv)
		switch {
		case want == "" && (err != nil || len(c.AccessNames) != 2 || !strings.HasSuffix(c.AccessNames[1].Place, "s.yaml:5:18")):
			t.Errorf("%s: %+v, %v", content, c, err)
		case want != "" && (err == nil || !strings.HasSuffix(words.In(words.English).Error(err), want)):
			t.Errorf("%s: %v, want %s", content, words.In(words.English).Error(err), want)
		}
	}
}
