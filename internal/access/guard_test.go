package access

import (
	"os/user"
	"strconv"
	"testing"

	"gauged/internal/gauge"
)

// TestUsersOfTheMachine: root and who runs the daemon are administrators, users and groups
// have what their rows say, others are refused by name; a row says of whom it is also where
// that is root.
func TestUsersOfTheMachine(t *testing.T) {
	u, err := user.Lookup("daemon") // which every system of this kind has
	if err != nil {
		t.Skip(err)
	}
	group, err := user.LookupGroupId(u.Gid)
	if err != nil {
		t.Skip(err)
	}
	uid, _ := strconv.Atoi(u.Uid)
	gid, _ := strconv.Atoi(u.Gid)
	elsewhere := func() int { return 4711 }
	for name, c := range map[string]struct {
		guard    *Guard
		uid, gid int
		want     Caller
		code     string
	}{
		"root":         {&Guard{own: elsewhere}, 0, 0, Caller{Name: "root", Role: RoleAdministrator, Door: DoorSocket}, ""},
		"the own user": {&Guard{own: func() int { return uid }}, uid, gid, Caller{Name: "daemon", Role: RoleAdministrator, Door: DoorSocket}, ""},
		"no row":       {&Guard{own: elsewhere}, uid, gid, Caller{}, "refusal.access.user"},
		"no name":      {&Guard{own: elsewhere}, 3999999, 3999999, Caller{}, "refusal.access.user"},
		"a row": {
			&Guard{own: elsewhere, Rules: Rules{Users: map[string]Grant{"daemon": {Role: RoleTechnician, Name: "Ada"}}}},
			uid, gid,
			Caller{Name: "Ada", Login: "daemon", Role: RoleTechnician, Door: DoorSocket},
			"",
		},
		"a group": {
			&Guard{own: elsewhere, Rules: Rules{Groups: map[string]Grant{group.Name: {Role: RoleReader, Name: "all"}}}},
			uid, gid,
			Caller{Name: "daemon", Role: RoleReader, Door: DoorSocket},
			"",
		},
		"root with a row": {
			&Guard{own: elsewhere, Rules: Rules{Users: map[string]Grant{"root": {Role: RoleReader}}}},
			0, 0,
			Caller{Name: "root", Login: "root", Role: RoleReader, Door: DoorSocket},
			"",
		},
	} {
		got, err := c.guard.user(c.uid, c.gid)
		if code := gauge.Told(errOr(err)).Code; got.Name != c.want.Name || got.Login != c.want.Login || got.Role != c.want.Role || got.Door != c.want.Door || code != c.code && err != nil || (err == nil) != (c.code == "") {
			t.Errorf("%s: %+v, %v", name, got, err)
		}
	}
	ada := Caller{Name: "Ada", Login: "daemon", Role: RoleTechnician, Door: DoorSocket}
	for by, want := range map[string]string{"": "Ada", "Ada": "Ada", "daemon": "Ada", "Quality Lead": ""} {
		if name, err := ada.As(by); name != want || (err != nil) != (want == "") {
			t.Errorf("as %q: %q, %v", by, name, err)
		}
	}
}

func errOr(err error) error {
	if err == nil {
		return gauge.Refused("")
	}
	return err
}
