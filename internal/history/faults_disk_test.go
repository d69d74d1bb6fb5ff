package history_test

import (
	"context"
	"errors"
	"os"
	"path/filepath"
	"sync"
	"testing"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/vfs"

	"gauged/internal/gauge"
	"gauged/internal/history"
)

// life is one history on one disk, under which one fault comes after the other.
type life struct {
	*campaign
	disk  *disk
	store *history.Store
	kept  []gauge.Fact // what was acknowledged, or found after a cut and so is not sent again
}

// live has faults strike one history until it is long enough.
func (c *campaign) live(strike func(*life)) {
	l := c.begin()
	defer l.end()
	for l.more(l.kept) && !c.t.Failed() {
		strike(l)
	}
	l.restart()
	l.must(l.store.Check(context.Background()))
}

// begin opens a history that was made once for all lives.
func (c *campaign) begin() *life {
	l := &life{campaign: c, disk: newDisk(c.t)}
	l.disk.fill(emptyHistory(c.t))
	l.open()
	return l
}

func (l *life) end() {
	l.must(l.store.Close())
	vfs.Unregister(l.disk.name)
	l.disk.fill(nil)
	l.must(os.RemoveAll(l.disk.shared))
}

func (l *life) path() string { return filepath.Join(l.disk.shared, "history.db") }

func (l *life) open() {
	l.t.Helper()
	s, err := history.OpenOn(context.Background(), l.path(), l.disk.name, l.disk.syncDir)
	l.must(err)
	l.must(s.ExecWriter("PRAGMA wal_autocheckpoint = 8"))
	l.store = s
}

var emptied struct {
	once  sync.Once
	files map[string][]byte
}

// emptyHistory is a history without facts, by the last part of the names of its files.
func emptyHistory(t *testing.T) map[string][]byte {
	emptied.once.Do(func() {
		d := newDisk(t)
		s, err := history.OpenOn(context.Background(), filepath.Join(d.shared, "history.db"), d.name, d.syncDir)
		if err != nil {
			t.Fatal(err)
		}
		closeStore(t, s)
		emptied.files = d.content()
	})
	return emptied.files
}

// content is what the files of a disk have, by the last part of their names.
func (d *disk) content() map[string][]byte {
	files := map[string][]byte{}
	for name, node := range d.files {
		files[filepath.Base(name)] = append([]byte{}, node.now...)
	}
	return files
}

// fill puts files onto a disk, in place of what was there; they are safe.
func (d *disk) fill(files map[string][]byte) {
	d.files, d.stable = map[string]*inode{}, map[string]*inode{}
	for name, content := range files {
		node := &inode{now: append([]byte{}, content...), safe: append([]byte{}, content...)}
		name = filepath.Join(d.shared, name)
		d.files[name], d.stable[name] = node, node
	}
}

// append stores a batch that the disk may fail; it says whether it was acknowledged.
func (l *life) append(batch []gauge.Fact) bool {
	l.t.Helper()
	err := l.store.Append(context.Background(), batch)
	if err == nil {
		l.kept = append(l.kept, batch...)
		l.acknowledged += len(batch)
		return true
	}
	l.refused++
	if got := l.store.LastSeq(); got != uint64(len(l.kept)) {
		l.fatalf("after a refused batch the last fact is %d, not %d", got, len(l.kept))
	}
	return false
}

// compare reads all that is stored.
func (l *life) compare(when string) {
	l.t.Helper()
	found, err := l.store.Facts(context.Background(), 0, history.MaxPage)
	l.must(err)
	l.same(when, l.kept, found)
}

// ahead is an operation that the disk will come to within a few batches.
func (l *life) ahead() int { return l.disk.operations() + 1 + l.rng.IntN(60) }

// cutPower cuts the power, sometimes once more while the history recovers.
func (l *life) cutPower() {
	l.disk.inject(l.disk.cutAt(l.ahead()))
	batch := l.batch(l.kept)
	for l.append(batch) {
		batch = l.batch(l.kept)
	}
	l.faults++
	_ = l.store.Close() // the power is off
	l.disk.restart(l.rng)
	for l.rng.IntN(3) == 0 {
		if !l.cutRecovery() {
			break
		}
	}
	l.open()
	found, err := l.store.Facts(context.Background(), 0, history.MaxPage)
	l.must(err)
	if len(found) > len(l.kept) { // durable, and the power went before it could be said
		l.unacknowledged++
		l.same("after a power cut, with the batch that it met", append(l.kept[:len(l.kept):len(l.kept)], batch...), found)
		l.kept = append(l.kept, batch...)
	}
	l.same("after a power cut", l.kept, found)
	l.sendAgain()
}

// cutRecovery opens the history and cuts the power meanwhile, if that comes in time.
func (l *life) cutRecovery() bool {
	ctx, cancel := context.WithCancel(context.Background())
	defer cancel()
	l.disk.onCut = cancel // else the look at the schema tries again for seconds
	l.disk.inject(l.disk.cutAt(l.ahead()))
	s, err := history.OpenOn(ctx, l.path(), l.disk.name, l.disk.syncDir)
	if err == nil {
		_ = s.Close() // which the cut may meet
	}
	l.disk.onCut = nil
	cut := l.disk.dead
	if cut {
		l.faults++
		l.disk.restart(l.rng)
	}
	l.disk.inject(nil)
	return cut
}

// sendAgain has the sender ask how far it came, and send what is there already once more.
func (l *life) sendAgain() {
	through, err := l.store.SourceSeq(context.Background(), "sender")
	l.must(err)
	if want := sentOf(l.kept); through != want {
		l.fatalf("the sender is told that all is stored up to %d, it is up to %d", through, want)
	}
	if through == 0 {
		return
	}
	again := reading(uint64(len(l.kept))+1, "far", through+1)
	again.Reading.Source, again.Reading.SourceSeq = "sender", through
	if err := l.store.Append(context.Background(), []gauge.Fact{again}); !errors.Is(err, history.ErrDuplicate) {
		l.fatalf("a reading that is stored was sent again: %v", err)
	}
}

func (l *life) failOnce() {
	at := l.ahead()
	l.fail(func(op operation) error {
		if op.number == at {
			return sqlite3.IOERR
		}
		return nil
	})
}

func (l *life) failOn() {
	at := l.ahead()
	l.fail(func(op operation) error {
		if op.number >= at {
			return sqlite3.IOERR
		}
		return nil
	})
}

func (l *life) fill() {
	at := l.ahead()
	l.fail(func(op operation) error {
		if op.number >= at && op.kind == "write" {
			return sqlite3.FULL
		}
		return nil
	})
}

// fail appends until a fault struck, tries again what was refused, as a station does, and
// once more when the disk is mended. Sometimes the power is cut after that: what the disk
// had failed to write must not be missing.
func (l *life) fail(fault func(operation) error) {
	struck := false
	l.disk.inject(func(op operation) error {
		err := fault(op)
		struck = struck || err != nil
		return err
	})
	batch := l.batch(l.kept)
	for !struck {
		if l.append(batch) {
			batch = l.batch(l.kept)
		}
	}
	l.faults++
	for range l.rng.IntN(3) {
		if l.append(batch) {
			batch = l.batch(l.kept)
		}
	}
	l.disk.inject(nil)
	if !l.append(batch) {
		l.fatalf("a batch is refused when the disk is mended")
	}
	if l.rng.IntN(4) == 0 {
		l.restart()
	}
	l.compare("after the disk was mended")
}

// restart cuts the power when nothing is under way, and opens the history again.
func (l *life) restart() {
	l.t.Helper()
	l.disk.inject(l.disk.cutAt(0))
	_ = l.store.Close()
	l.disk.dead = true
	l.disk.restart(l.rng)
	l.open()
	l.compare("after the power was cut in peace")
}
