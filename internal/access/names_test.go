package access

import (
	"os/user"
	"strconv"
	"testing"
	"time"

	"gauged/internal/gauge"
)

// TestNamesThatLookAlike: no name of a person or a program can be taken for another one. The
// pairs are of the table of Unicode Technical Standard #39.
func TestNamesThatLookAlike(t *testing.T) {
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	r := Register{
		people: map[string]Person{"Ada Baker": {Name: "Ada Baker"}, "Ora": {Name: "Ora"}},
		tokens: map[string]Token{"1": {ID: "1", Name: "press-1"}},
	}
	for name, want := range map[string]string{
		"Ada\u00a0Baker":      "refusal.access.name-sign", // a space that does not break
		"Ada\u200bBaker":      "refusal.access.name-sign", // no width at all
		"\u202eAda":           "refusal.access.name-sign", // from right to left
		"Ada Baker\ufe0f":     "refusal.access.name-sign", // a variation selector
		"Ada Baker\U000e0101": "refusal.access.name-sign", // another
		"press\u034f-1":       "refusal.access.name-sign", // joins letters, unseen
		"Ada\u17b4 Baker":     "refusal.access.name-sign", // a vowel that is not written
		"\u3164":              "refusal.access.name-sign", // fills a place
		"\u115fOra":           "refusal.access.name-sign",
		"Ora\u2800":           "refusal.access.name-sign",  // Braille without a dot
		"\u0410da Baker":      "refusal.access.name-alike", // the Cyrillic A
		"Ada B\u0430ker":      "refusal.access.name-alike", // and the small one
		"\u041er\u0430":       "refusal.access.name-alike",
		"\u039fra":            "refusal.access.name-alike", // the Greek O
		"ada baker":           "refusal.access.name-alike",
		"press-l":             "refusal.access.name-alike",
		"0RA":                 "refusal.access.name-alike", // nought for O, and other case
		"press\u20101":        "refusal.access.name-alike", // another hyphen
		"Ada Barker":          "",
		"J\u00fcrgen O'Neill": "",
		"\u0410\u043d\u043d\u0430 \u041f\u0435\u0442\u0440\u043e\u0432\u0430": "", // all Cyrillic
		"press-2": "",
	} {
		_, err := AddPerson("root", Person{Name: name, Role: RoleReader})(r, now)
		if got := codeOf(err); got != want {
			t.Errorf("person %q: %q, want %q", name, got, want)
		}
		_, err = MakeToken("root", Token{ID: "2", Name: name, Role: RoleReader, Expires: now.Add(time.Hour)})(r, now)
		if got := codeOf(err); got != want {
			t.Errorf("token %q: %q, want %q", name, got, want)
		}
	}
	if _, err := MakeToken("root", Token{ID: "2", Name: "press-1", Role: RoleReader, Expires: now.Add(time.Hour)})(r, now); err != nil {
		t.Errorf("a second token of the same program: %v", err)
	}
}

// TestNamesOfTheFileAndTheRegister: a person or a program who looks like one in the station's
// file is refused, and one that is there already is told with the place in the file.
func TestNamesOfTheFileAndTheRegister(t *testing.T) {
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	g := &Guard{Rules: Rules{
		Users: map[string]Grant{"ora": {}, "x": {Name: "Ada B."}}, Groups: map[string]Grant{"bench": {}, "y": {Name: "Team"}}, Certificates: map[string]Grant{"press-1": {}},
	}}
	for name, want := range map[string]string{
		"0RA": "refusal.access.name-alike", "ada b.": "refusal.access.name-alike", "teaM": "refusal.access.name-alike", "press-l": "refusal.access.name-alike",
		"Ada B.": "", "BENCH": "", "X": "",
	} {
		_, err := g.Unlike(name, AddPerson("root", Person{Name: name, Role: RoleReader}))(Register{}, now)
		if got := codeOf(err); got != want {
			t.Errorf("%q: %q, want %q", name, got, want)
		}
	}
	r := Register{people: map[string]Person{"0ra": {Name: "0ra"}, "Ada": {Name: "Ada"}}}
	told := r.LooksAlike([]PlacedName{{"ora", "s.yaml:5:3"}, {"Ada", "s.yaml:6:3"}})
	if len(told) != 1 || told[0].Error() == "" || codeOf(told[0]) != "station.name-at" {
		t.Errorf("%v", told)
	}
}

// TestNamesOfUsers: nobody takes the name by which a user of the operating system comes in at
// the unix socket, unless the station's file says that they are one. root, daemon and nobody
// are users of every system here.
func TestNamesOfUsers(t *testing.T) {
	now := time.Date(2026, 3, 1, 8, 0, 0, 0, time.UTC)
	daemon, err := user.Lookup("daemon")
	if err != nil {
		t.Fatal(err)
	}
	uid, _ := strconv.Atoi(daemon.Uid)
	for _, tc := range []struct {
		rules      Rules
		name, want string
	}{
		{Rules{}, "root", "refusal.access.name-user"},
		{Rules{}, "Root", "refusal.access.name-user"},
		{Rules{}, "daemon", "refusal.access.name-user"},
		{Rules{}, "nobody", ""}, // does not come in
		{Rules{Groups: map[string]Grant{"nogroup": {Role: RoleReader}}}, "nobody", "refusal.access.name-user"},
		{Rules{}, "r\u043e\u043et", "refusal.access.name-user"}, // Cyrillic
		{Rules{}, "r00t", "refusal.access.name-user"},
		{Rules{Users: map[string]Grant{"root": {Role: RoleAdministrator}}}, "root", "refusal.access.name-user"},
		{Rules{Users: map[string]Grant{"root": {Role: RoleAdministrator, Name: "root"}}}, "root", ""}, // it is said who that is
		{Rules{Users: map[string]Grant{"root": {Role: RoleAdministrator, Name: "Ada"}}}, "root", ""},
	} {
		g := &Guard{Rules: tc.rules, own: func() int { return uid }}
		_, person := g.Unlike(tc.name, AddPerson("Ada", Person{Name: tc.name, Role: RoleReader}))(Register{}, now)
		_, token := g.Unlike(tc.name, MakeToken("Ada", Token{ID: "1", Name: tc.name, Role: RoleReader, Expires: now.Add(time.Hour)}))(Register{}, now)
		if codeOf(person) != tc.want || codeOf(token) != tc.want {
			t.Errorf("%s under %+v: person %q, token %q, want %q", tc.name, tc.rules, codeOf(person), codeOf(token), tc.want)
		}
	}
}

func codeOf(err error) string {
	if err == nil {
		return ""
	}
	return gauge.Told(err).Code
}
