package history_test

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"runtime"

	"gauged/internal/gauge"
	"gauged/internal/history"
	"gauged/internal/history/chain"
)

// damages are what is done to a stored reading, and undone.
var damages = []struct {
	damage, undo string
	what         chain.Deviation
}{
	{"UPDATE readings SET value = value + 1 WHERE seq = %d", "UPDATE readings SET value = value - 1 WHERE seq = %d", chain.Changed},
	{"UPDATE readings SET time = time - 1 WHERE seq = %d", "UPDATE readings SET time = time + 1 WHERE seq = %d", chain.Changed},
	{"UPDATE readings SET shown = shown || '0' WHERE seq = %d", "UPDATE readings SET shown = substr(shown, 1, length(shown) - 1) WHERE seq = %d", chain.Changed},
	{"UPDATE readings SET gauge = 'x' || gauge WHERE seq = %d", "UPDATE readings SET gauge = substr(gauge, 2) WHERE seq = %d", chain.Changed},
	{"UPDATE readings SET entered_by = 'x' || entered_by WHERE seq = %d", "UPDATE readings SET entered_by = substr(entered_by, 2) WHERE seq = %d", chain.Changed},
	{"UPDATE readings SET seq = seq + 1000000 WHERE seq = %d", "UPDATE readings SET seq = seq - 1000000 WHERE seq = 1000000 + %d", chain.Missing},
}

// damageFacts damages one fact after the other: the walk along the chain names it, and the
// others are what they were.
func damageFacts(c *campaign) {
	l := c.begin()
	defer l.end()
	for len(l.kept) < 40 {
		l.append(l.batch(l.kept))
	}
	l.must(l.store.ExecWriter(unlocked))
	for range min(200, c.want-c.faults) {
		seq := 1 + c.rng.IntN(len(l.kept))
		d := damages[c.rng.IntN(len(damages))]
		l.must(l.store.ExecWriter(fmt.Sprintf(d.damage, seq)))
		c.faults++
		v, err := l.store.Verify(context.Background())
		l.must(err)
		if v.Difference == nil || v.Difference.What != d.what || v.Difference.Seq != uint64(seq) {
			l.fatalf("%s: %+v", fmt.Sprintf(d.damage, seq), v.Difference)
		}
		l.beside(seq)
		l.must(l.store.ExecWriter(fmt.Sprintf(d.undo, seq)))
	}
	l.compare("when all was undone")
	v, err := l.store.Verify(context.Background())
	l.must(err)
	if v.Difference == nil || v.Difference.What != chain.Rebuilt { // the triggers are gone
		l.fatalf("when all was undone: %s", v.Difference)
	}
}

// beside compares all facts but one.
func (l *life) beside(seq int) {
	l.t.Helper()
	for _, part := range [][]gauge.Fact{l.kept[:seq-1], l.kept[seq:]} {
		if len(part) > 0 {
			found, err := l.store.Facts(context.Background(), part[0].Seq-1, len(part))
			l.must(err)
			l.same("beside a damaged fact", part, found)
		}
	}
}

// flipBits flips one bit of a closed history after the other, anywhere in the file. A check
// of the file finds it, or all facts are what they were: it lay where nothing is stored.
func flipBits(c *campaign) {
	whole := chained(c.t)
	content, err := os.ReadFile(whole)
	c.must(err)
	s := openPlain(c.t, whole)
	want, err := s.Facts(context.Background(), 0, history.MaxPage)
	c.must(err)
	closeStore(c.t, s)
	path := filepath.Join(c.t.TempDir(), "flipped.db")
	found := 0
	for c.faults < max(c.want, 30) { // fewer can all lie where nothing is stored
		at, bit := c.rng.IntN(len(content)), c.rng.IntN(8)
		content[at] ^= 1 << bit
		err := os.WriteFile(path, content, 0o600)
		content[at] ^= 1 << bit
		c.must(err)
		c.faults++
		if v, err := history.CheckFile(context.Background(), path); err != nil || v.Difference != nil {
			found++
			continue
		}
		s, err := history.Open(context.Background(), path)
		if err != nil {
			found++
			continue
		}
		facts, err := s.Facts(context.Background(), 0, history.MaxPage)
		if diff := differ(want, facts); err != nil || diff != "" {
			c.fatalf("bit %d of byte %d: no check finds it, and %v %s", bit, at, err, diff)
		}
		closeStore(c.t, s)
	}
	c.t.Logf("%d bits: %d found, %d lay where nothing is stored", c.faults, found, c.faults-found)
	if found == 0 {
		c.t.Error("none was found: this flips nothing that is stored")
	}
}

// moved is one history in a directory, whose file somebody moves.
type moved struct {
	*campaign
	path  string
	store *history.Store
	kept  []gauge.Fact
	other string // file of another history
	way   string // how the file is taken away now
}

// moveFiles takes the file of a history away in one way after the other. That is noticed,
// and when it is back all is there that was acknowledged.
func moveFiles(c *campaign) {
	if runtime.GOOS != "linux" {
		c.t.Skip("the file itself is held open on Linux alone")
	}
	dir := c.t.TempDir()
	defer os.RemoveAll(dir)
	m := &moved{campaign: c, path: filepath.Join(dir, "history.db")}
	m.open()
	for c.more(m.kept) {
		ways := []struct {
			name string
			go_  func()
		}{
			{"away and back", m.awayAndBack},
			{"away, and stopped", m.awayAndStopped},
			{"away, and killed", m.awayAndKilled},
			{"replaced", m.replaced},
			{"linked", m.linked},
		}
		way := ways[c.rng.IntN(len(ways))]
		m.way = way.name
		way.go_()
		c.faults++
		m.append()
	}
	m.must(m.store.Close())
}

func (m *moved) open() {
	m.t.Helper()
	s, err := history.Open(context.Background(), m.path)
	m.must(err)
	m.store = s
	if found := s.Found(); len(found) > 0 {
		m.fatalf("%s, at the start: %q", m.way, found)
	}
	facts, err := s.Facts(context.Background(), 0, history.MaxPage)
	m.must(err)
	m.same(m.way+", at the start", m.kept, facts)
}

func (m *moved) append() {
	m.t.Helper()
	for range 1 + m.rng.IntN(3) {
		batch := m.batch(m.kept)
		m.must(m.store.Append(context.Background(), batch))
		m.kept = append(m.kept, batch...)
		m.acknowledged += len(batch)
	}
}

// take moves the file away; readings are stored all the same, and it is said.
func (m *moved) take() {
	m.t.Helper()
	m.append()
	m.must(m.store.InPlace())
	m.must(os.Rename(m.path, m.path+".away"))
	m.append()
	if err := m.store.InPlace(); !errors.Is(err, history.ErrMoved) {
		m.fatalf("the file was moved away, and is said to be in its place: %v", err)
	}
}

func (m *moved) putBack() {
	m.t.Helper()
	m.must(os.Rename(m.path+".away", m.path))
}

func (m *moved) awayAndBack() {
	m.take()
	m.putBack()
	m.must(m.store.InPlace())
	m.append()
	m.must(m.store.Close())
	m.open()
}

// awayAndStopped: a daemon that is started without its history says that a new one has begun.
func (m *moved) awayAndStopped() {
	m.take()
	m.must(m.store.Close())
	if m.rng.IntN(2) == 0 {
		s, err := history.Open(context.Background(), m.path)
		m.must(err)
		if len(s.Found()) == 0 {
			m.fatalf("a new history has begun, and nothing is said")
		}
		m.must(s.Close())
		m.must(os.Remove(m.path + ".known"))
	}
	m.putBack()
	m.open()
}

// awayAndKilled: what the log beside the missing file has is not thrown away.
func (m *moved) awayAndKilled() {
	m.take()
	m.kill()
	if s, err := history.Open(context.Background(), m.path); err == nil {
		m.fatalf("a history whose file is missing was begun anew beside its log: %v", s.Close())
	}
	m.putBack()
	m.open()
}

// replaced: what the log has is neither thrown away nor taken for that of what lies there.
func (m *moved) replaced() {
	m.append()
	m.must(os.Rename(m.path, m.path+".away"))
	content := []byte("something else")
	if m.rng.IntN(2) == 0 {
		var err error
		content, err = os.ReadFile(m.another())
		m.must(err)
	}
	m.must(os.WriteFile(m.path, content, 0o600))
	m.append()
	if err := m.store.InPlace(); !errors.Is(err, history.ErrMoved) {
		m.fatalf("the file was replaced, and is said to be in its place: %v", err)
	}
	m.kill()
	if s, err := history.Open(context.Background(), m.path); err == nil {
		m.fatalf("another file was opened beside the log: %v", s.Close())
	}
	if found, err := os.ReadFile(m.path); err != nil || !bytes.Equal(found, content) {
		m.fatalf("another file was changed by the log beside it: %v", err)
	}
	m.putBack()
	m.open()
}

// another is the file of another history.
func (m *moved) another() string {
	if m.other == "" {
		m.other = chained(m.t)
	}
	return m.other
}

func (m *moved) linked() {
	m.append()
	other := m.path + ".link"
	m.must(os.Link(m.path, other))
	if s, err := history.Open(context.Background(), other); !errors.Is(err, history.ErrInUse) {
		m.fatalf("through a hard link: %v, %v", s, err)
	}
	m.append()
	m.must(os.Remove(other))
	m.must(m.store.Close())
	m.open()
}

// kill leaves of a history what a killed process leaves: its files as they are now.
func (m *moved) kill() {
	m.t.Helper()
	before := filepath.Dir(m.path)
	dir := m.t.TempDir()
	m.must(os.CopyFS(dir, os.DirFS(before)))
	_ = m.store.Close() // it goes on beside
	m.must(os.RemoveAll(before))
	m.path = filepath.Join(dir, "history.db")
}

// killProcesses kills one process after the other that appends to the same history, at a
// random acknowledgement. It holds recovery, the order of acknowledgement and that the lock
// goes with its process. It does not hold durability: what a killed program wrote stays in
// the memory of the operating system. The power cuts are there for that.
func killProcesses(c *campaign) {
	path := filepath.Join(c.t.TempDir(), "history.db")
	stored := 0
	defer func() { c.acknowledged += stored }()
	for kill := 0; kill < 25 && c.faults < c.want; kill++ {
		acked := killAfter(c.t, path, 1+c.rng.IntN(40))
		c.faults++
		s := openPlain(c.t, path)
		last := s.LastSeq()
		if last < acked || acked <= uint64(stored) {
			c.fatalf("%d facts were acknowledged, %d are there", acked, last)
		}
		found, err := s.Facts(context.Background(), 0, history.MaxPage)
		c.must(err)
		c.same("after a kill", readings(0, int(last)), found)
		stored = int(last)
		c.must(s.Check(context.Background()))
		closeStore(c.t, s)
	}
}
