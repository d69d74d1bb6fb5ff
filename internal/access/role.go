package access

import "slices"

// Role is what a caller may do, in one word. The zero Role may do nothing.
type Role uint8

// The roles. They are no ladder: a station feeds readings, which a technician does not.
const (
	RoleNone          Role = iota
	RoleReader             // looks at everything
	RoleStation            // a program that feeds readings, and looks
	RoleTechnician         // leads jobs and checks
	RoleQuality            // besides: files, standing of gauges, recalls, studies
	RoleAdministrator      // everything, who may come in included
)

// roleWords are the roles as files, commands and the contract write them.
var roleWords = [...]string{"", "reader", "station", "technician", "quality", "administrator"}

// RoleWords are the words of all roles, from the least to the most.
func RoleWords() []string { return slices.Clone(roleWords[1:]) }

// String is the word of a role; empty for none.
func (r Role) String() string {
	if int(r) < len(roleWords) {
		return roleWords[r]
	}
	return ""
}

// ParseRole reads the word of a role; RoleNone and false for any other text.
func ParseRole(word string) (Role, bool) {
	i := slices.Index(roleWords[:], word)
	if i <= 0 {
		return RoleNone, false
	}
	return Role(i), true
}

// MarshalText writes a role as its word.
func (r Role) MarshalText() ([]byte, error) { return []byte(r.String()), nil }

// UnmarshalText reads the word of a role. An unknown one, which a later program may have
// stored, is no role and may do nothing.
func (r *Role) UnmarshalText(word []byte) error {
	*r, _ = ParseRole(string(word))
	return nil
}

// Right is one thing that a role may do or not. The zero Right is nobody's, so that what
// is forgotten is closed.
type Right uint8

// The rights.
const (
	RightNobodys Right = iota
	RightAnyones       // needs no caller: to say who one is, and whether the daemon runs
	RightRead          // look at readings, jobs, gauges, files
	RightFeed          // send readings of gauges
	RightWork          // lead jobs, check gauges
	RightLead          // what the quality lead answers for
	RightGovern        // say who may come in
)

// rightsOf are the rights of each role.
var rightsOf = [...][]Right{
	RoleNone:          nil,
	RoleReader:        {RightRead},
	RoleStation:       {RightRead, RightFeed},
	RoleTechnician:    {RightRead, RightWork},
	RoleQuality:       {RightRead, RightWork, RightLead},
	RoleAdministrator: {RightRead, RightFeed, RightWork, RightLead, RightGovern},
}

// Has reports whether a role has a right.
func (r Role) Has(right Right) bool {
	return right == RightAnyones || int(r) < len(rightsOf) && slices.Contains(rightsOf[r], right)
}

// with is the words of the roles that have a right.
func with(right Right) (words []string) {
	for r := range rightsOf {
		if Role(r).Has(right) && r > 0 {
			words = append(words, Role(r).String())
		}
	}
	return words
}
