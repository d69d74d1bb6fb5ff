package access

import (
	"fmt"
	"os/user"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"

	"github.com/mtibben/confusables"
	"golang.org/x/text/unicode/norm"

	"gauged/internal/gauge"
)

// named refuses a name that cannot stand for one person or program: one with signs that
// nobody sees, such as a space that does not break, and one that looks like the name of
// somebody else.
func (r Register) named(name string) error {
	var others []string
	for other := range r.people {
		others = append(others, other)
	}
	for _, t := range r.tokens {
		others = append(others, t.Name)
	}
	return CheckName(name, others)
}

// CheckName refuses a name with signs that nobody sees, and one that looks like one of the
// others and is not the same.
func CheckName(name string, others []string) error {
	for _, sign := range name {
		if !unicode.IsPrint(sign) || hidden(sign) {
			return gauge.WrongInput("refusal.access.name-sign", quoted("name", name), gauge.Text("sign", fmt.Sprintf("U+%04X", sign)))
		}
	}
	slices.Sort(others)
	for _, other := range others {
		if other != name && alike(other, name) {
			return gauge.Refused("refusal.access.name-alike", gauge.Text("name", name), gauge.Text("other", other))
		}
	}
	return nil
}

// PlacedName is a name that the configuration gives to a user, a group or a certificate.
type PlacedName struct{ Name, Place string } // Place: file:line:column

// LooksAlike says of each name of the configuration that looks like that of a person or a
// program in the register, and where it stands.
func (r Register) LooksAlike(names []PlacedName) (all []error) {
	for _, n := range names {
		if err := r.named(n.Name); err != nil {
			all = append(all, gauge.At(err, "station.name-at", gauge.Text("place", n.Place)))
		}
	}
	return all
}

// checkName refuses a name that looks like one that the configuration gives.
func (r Rules) checkName(name string) error {
	var others []string
	for _, grants := range []map[string]Grant{r.Users, r.Certificates} {
		for id, grant := range grants {
			others = append(others, grant.caller(id, "").Name)
		}
	}
	for _, grant := range r.Groups {
		if grant.Name != "" {
			others = append(others, grant.Name)
		}
	}
	return CheckName(name, others)
}

// checkUser refuses the name by which a user of the operating system comes in at the unix
// socket, and one that looks like that of root or of who runs the daemon: what they did could
// not be told from what somebody else did. The configuration can say who a user is.
func (g *Guard) checkUser(name string) error {
	var users []*user.User
	for _, id := range []int{0, g.ownUser()} {
		if u, err := user.LookupId(strconv.Itoa(id)); err == nil && alike(u.Username, name) {
			users = append(users, u)
		}
	}
	if u, err := user.Lookup(strings.ToLower(name)); err == nil {
		users = append(users, u)
	}
	for _, u := range users {
		uid, uidErr := strconv.Atoi(u.Uid)
		gid, gidErr := strconv.Atoi(u.Gid)
		if uidErr != nil || gidErr != nil { // not a system whose users come in at a socket
			continue
		}
		if c, err := g.user(uid, gid); err == nil && c.Name == u.Username && g.Rules.Users[u.Username].Name == "" {
			return gauge.Refused("refusal.access.name-user", gauge.Text("name", name), gauge.Text("user", u.Username))
		}
	}
	return nil
}

// Unlike is a change of a name that is refused where it looks like one of the configuration,
// or is that of a user who comes in at the unix socket.
func (g *Guard) Unlike(name string, change Change) Change {
	return func(r Register, now time.Time) ([]gauge.AccessFact, error) {
		if err := g.Rules.checkName(name); err != nil {
			return nil, err
		}
		if err := g.checkUser(name); err != nil {
			return nil, err
		}
		return change(r, now)
	}
}

// alike reports whether two names look the same, as written or in small letters: their
// skeletons are the same (Unicode Technical Standard #39, section 4). Wide letters are as
// others (Unicode Standard Annex #15), signs that nobody sees are none, and spaces one.
func alike(a, b string) bool {
	a, b = seen(a), seen(b)
	return confusables.Skeleton(a) == confusables.Skeleton(b) || small(a) == small(b) || small(confusables.Skeleton(a)) == small(confusables.Skeleton(b))
}

// small is the skeleton of a name in small letters: that of 0 is O, which is large.
func small(name string) string { return confusables.Skeleton(strings.ToLower(name)) }

// hidden reports whether nothing is seen of a sign: those that a program may leave out (Unicode
// Standard, 5.21, Default_Ignorable_Code_Point, as Unicode Technical Standard #39, 4, takes them
// away), and the Braille pattern without a dot.
func hidden(sign rune) bool {
	return unicode.In(sign, unicode.Cf, unicode.Other_Default_Ignorable_Code_Point, unicode.Variation_Selector) || sign == '\u2800'
}

// seen is what of a name is seen.
func seen(name string) string {
	name = strings.Map(func(sign rune) rune {
		if hidden(sign) {
			return -1
		}
		return sign
	}, norm.NFKC.String(name))
	return strings.Join(strings.Fields(name), " ")
}
