package devices

import (
	"fmt"
	"os"
	"os/user"
	"path/filepath"
	"strconv"
	"strings"
	"syscall"
)

// whose looks up the owner of a port and our own user. What has no name is
// shown by its number.
func whose(path string) ownership {
	o := ownership{owner: "unknown", group: "unknown", user: userName(os.Getuid())}
	if info, err := os.Stat(path); err == nil {
		o.mode = info.Mode()
		if stat, ok := info.Sys().(*syscall.Stat_t); ok {
			o.owner, o.group = userName(int(stat.Uid)), groupName(int(stat.Gid))
		}
	}
	ids, err := os.Getgroups()
	if err != nil || len(ids) == 0 {
		ids = []int{os.Getgid()}
	}
	for _, id := range ids {
		o.groups = append(o.groups, groupName(id))
	}
	return o
}

func userName(id int) string {
	if u, err := user.LookupId(strconv.Itoa(id)); err == nil {
		return u.Username
	}
	return strconv.Itoa(id)
}

func groupName(id int) string {
	if g, err := user.LookupGroupId(strconv.Itoa(id)); err == nil {
		return g.Name
	}
	return strconv.Itoa(id)
}

// holders returns the processes that have the port open, as far as we may see them.
func holders(path string) []string {
	path = resolved(path)
	open, err := filepath.Glob("/proc/[0-9]*/fd/*")
	if err != nil {
		return nil
	}
	var found []string
	seen := map[string]bool{}
	for _, fd := range open {
		process := filepath.Dir(filepath.Dir(fd))
		target, err := os.Readlink(fd)
		if err != nil || target != path || seen[process] {
			continue
		}
		seen[process] = true
		name, err := os.ReadFile(filepath.Join(process, "comm"))
		if err != nil {
			continue // it has just ended
		}
		found = append(found, fmt.Sprintf("process %s (%s)", filepath.Base(process), strings.TrimSpace(string(name))))
	}
	return found
}
