package devices

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"os/user"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"syscall"

	"golang.org/x/sys/unix"
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

// holders returns the processes that have each of the device files open, and
// whether there are processes whose files we may not see. root is where the
// file system begins.
func holders(root string, paths ...string) (held map[string][]Process, hidden bool) {
	proc := filepath.Join(root, "proc")
	held = locked(root, paths)
	entries, err := os.ReadDir(proc)
	if err != nil {
		return held, true
	}
	for _, e := range entries {
		pid, err := strconv.Atoi(e.Name())
		if err != nil {
			continue
		}
		files := filepath.Join(proc, e.Name(), "fd")
		open, err := os.ReadDir(files)
		hidden = hidden || errors.Is(err, fs.ErrPermission)
		for _, fd := range open {
			if target, err := os.Readlink(filepath.Join(files, fd.Name())); err == nil && slices.Contains(paths, target) {
				addHolder(held, proc, target, pid)
			}
		}
	}
	return held, hidden
}

// locked returns the processes that hold a lock on a device file, as the daemon
// does with its ports. Everybody may see that, of other users' processes too.
func locked(root string, paths []string) map[string][]Process {
	held := map[string][]Process{}
	proc := filepath.Join(root, "proc")
	locks, err := os.ReadFile(filepath.Join(proc, "locks"))
	if err != nil {
		return held
	}
	for _, path := range paths {
		var file unix.Stat_t
		if unix.Stat(filepath.Join(root, path), &file) != nil {
			continue
		}
		inode := fmt.Sprintf("%02x:%02x:%d", unix.Major(uint64(file.Dev)), unix.Minor(uint64(file.Dev)), file.Ino)
		for line := range strings.Lines(string(locks)) {
			// 1: FLOCK ADVISORY WRITE 812 00:05:131 0 EOF
			words := strings.Fields(line)
			if len(words) < 6 || words[1] != "FLOCK" || words[5] != inode {
				continue
			}
			if pid, err := strconv.Atoi(words[4]); err == nil {
				addHolder(held, proc, path, pid)
			}
		}
	}
	return held
}

// addHolder adds a process once, unless it has just ended.
func addHolder(held map[string][]Process, proc, path string, pid int) {
	name, err := os.ReadFile(filepath.Join(proc, strconv.Itoa(pid), "comm"))
	if p := (Process{pid, strings.TrimSpace(string(name))}); err == nil && !slices.Contains(held[path], p) {
		held[path] = append(held[path], p)
	}
}

// taken says who holds a port that we could not take.
func taken(path string) error {
	device := resolved(path)
	held, _ := holders("/", device)
	return busy(path, held[device], whose(path))
}
