package history_test

import (
	"fmt"
	"io"
	"maps"
	"math/rand/v2"
	"path/filepath"
	"slices"
	"sync"
	"testing"

	"github.com/ncruces/go-sqlite3"
	"github.com/ncruces/go-sqlite3/vfs"
)

// sector is the size below which the disk writes all or nothing.
const sector = 512

// disk is a disk under SQLite that forgets what was not synced when its power
// is cut, and that fails where a test wants it to.
type disk struct {
	name   string // under which SQLite knows it
	shared string // directory for the shared memory of its files
	lying  bool   // Sync reports success and does nothing
	loose  bool   // names become safe by luck only
	fault  func(op operation) error

	mu     sync.Mutex
	files  map[string]*inode // as programs see the directory
	stable map[string]*inode // the directory as the next power cut leaves it
	ops    int               // operations since the disk was made
	dead   bool              // the power is off
	onCut  func()            // runs when the power goes off, with mu locked
}

// operation is one call that reached the disk, numbered from 1.
type operation struct {
	number int
	kind   string // open, delete, read, write, truncate or sync
}

// inode is a file: its bytes as programs see them, the bytes that are safe,
// and what happened since then.
type inode struct {
	now, safe []byte
	pending   []change
	locks     lockState
}

// change is a write at an offset, or a truncation when data is nil.
type change struct {
	offset int64
	data   []byte
}

func newDisk(tb testing.TB) *disk {
	tb.Helper()
	dir := tb.TempDir()
	d := &disk{name: "disk" + dir, shared: dir, files: map[string]*inode{}, stable: map[string]*inode{}}
	vfs.Register(d.name, d)
	tb.Cleanup(func() { vfs.Unregister(d.name) })
	return d
}

// do counts an operation and lets the test fail it. The caller holds d.mu.
func (d *disk) do(kind string) error {
	d.ops++
	if d.dead {
		return sqlite3.IOERR
	}
	if d.fault != nil {
		return d.fault(operation{d.ops, kind})
	}
	return nil
}

// operations returns how many operations reached the disk.
func (d *disk) operations() int {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.ops
}

// inject makes fault decide about the operations to come.
func (d *disk) inject(fault func(operation) error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	d.fault = fault
}

// cutAt returns a fault that turns the power off at the given operation.
func (d *disk) cutAt(number int) func(operation) error {
	return func(op operation) error {
		if op.number < number {
			return nil
		}
		if d.dead = true; d.onCut != nil {
			d.onCut()
		}
		return sqlite3.IOERR
	}
}

// restart turns the power on again after a cut: of what was not synced, a
// random part has reached the disk, torn at sectors.
func (d *disk) restart(rng *rand.Rand) {
	d.mu.Lock()
	defer d.mu.Unlock()
	for _, name := range d.names() {
		if rng.IntN(2) == 0 {
			rename(d.stable, name, d.files[name])
		}
		rename(d.files, name, d.stable[name])
	}
	for _, name := range slices.Sorted(maps.Keys(d.files)) {
		d.files[name].tear(rng)
	}
	d.dead, d.fault = false, nil
}

func (n *inode) tear(rng *rand.Rand) {
	for _, c := range n.pending {
		if c.data == nil {
			if rng.IntN(2) == 0 {
				n.safe = resize(n.safe, c.offset)
			}
			continue
		}
		for begin := int64(0); begin < int64(len(c.data)); {
			end := min(int64(len(c.data)), (c.offset+begin)/sector*sector+sector-c.offset)
			if rng.IntN(2) == 0 {
				n.safe = overwrite(n.safe, c.offset+begin, c.data[begin:end])
			}
			begin = end
		}
	}
	n.pending = nil
	n.now = append([]byte(nil), n.safe...)
	n.locks = lockState{}
}

// syncDir makes the names of all files safe.
func (d *disk) syncDir(string) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.do("sync"); err != nil {
		return err
	}
	d.syncNames()
	return nil
}

func (d *disk) syncNames() {
	if d.lying || d.loose {
		return
	}
	for _, name := range d.names() {
		rename(d.stable, name, d.files[name])
	}
}

// names returns every name that a file has or had, in order.
func (d *disk) names() []string {
	all := maps.Clone(d.files)
	maps.Copy(all, d.stable)
	return slices.Sorted(maps.Keys(all))
}

func rename(directory map[string]*inode, name string, node *inode) {
	if node == nil {
		delete(directory, name)
		return
	}
	directory[name] = node
}

// The methods that SQLite calls.

func (d *disk) Open(name string, flags vfs.OpenFlag) (vfs.File, vfs.OpenFlag, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.do("open"); err != nil {
		return nil, flags, err
	}
	node := d.files[name]
	if node == nil {
		if flags&vfs.OPEN_CREATE == 0 {
			return nil, flags, sqlite3.CANTOPEN
		}
		node = &inode{}
		if name != "" { // a temporary file has no name
			d.files[name] = node
		}
	}
	shm := vfs.NewSharedMemory(filepath.Join(d.shared, filepath.Base(name)+"-shm"), flags)
	const journal = vfs.OPEN_MAIN_JOURNAL | vfs.OPEN_SUPER_JOURNAL | vfs.OPEN_WAL
	return &diskFile{disk: d, inode: node, shm: shm, fresh: flags&journal != 0 && flags&vfs.OPEN_CREATE != 0}, flags, nil
}

func (d *disk) Delete(name string, _ bool) error {
	d.mu.Lock()
	defer d.mu.Unlock()
	if err := d.do("delete"); err != nil {
		return err
	}
	if d.files[name] == nil {
		return sqlite3.IOERR_DELETE_NOENT
	}
	delete(d.files, name)
	return nil
}

func (d *disk) Access(name string, _ vfs.AccessFlag) (bool, error) {
	d.mu.Lock()
	defer d.mu.Unlock()
	return d.files[name] != nil, nil
}

func (d *disk) FullPathname(name string) (string, error) { return name, nil }

func resize(b []byte, size int64) []byte {
	if grow := size - int64(len(b)); grow > 0 {
		return append(b, make([]byte, grow)...)
	}
	return b[:size]
}

func overwrite(b []byte, offset int64, data []byte) []byte {
	b = resize(b, max(int64(len(b)), offset+int64(len(data))))
	copy(b[offset:], data)
	return b
}

// diskFile is an open file of a disk.
type diskFile struct {
	*disk
	inode *inode
	shm   vfs.SharedMemory
	lock  vfs.LockLevel
	fresh bool // a journal; its first Sync syncs the directory too, as SQLite's own files do
}

func (f *diskFile) Close() error {
	if f.shm != nil {
		f.shm.Close()
	}
	return f.Unlock(vfs.LOCK_NONE)
}

func (f *diskFile) ReadAt(p []byte, offset int64) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.do("read"); err != nil {
		return 0, err
	}
	if offset >= int64(len(f.inode.now)) {
		return 0, io.EOF
	}
	n := copy(p, f.inode.now[offset:])
	if n < len(p) {
		return n, io.EOF
	}
	return n, nil
}

func (f *diskFile) WriteAt(p []byte, offset int64) (int, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	if f.dead {
		return 0, sqlite3.IOERR
	}
	err := f.do("write")
	if err == nil || f.dead { // a write that the power cut meets may have begun
		f.inode.now = overwrite(f.inode.now, offset, p)
		f.inode.pending = append(f.inode.pending, change{offset, append([]byte{}, p...)})
	}
	if err != nil {
		return 0, err
	}
	return len(p), nil
}

func (f *diskFile) Truncate(size int64) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	if err := f.do("truncate"); err != nil {
		return err
	}
	f.inode.now = resize(f.inode.now, size)
	f.inode.pending = append(f.inode.pending, change{offset: size})
	return nil
}

// Sync makes the file safe. A Sync that fails forgets what it should have
// written, as Linux does: the next one does not try again.
func (f *diskFile) Sync(vfs.SyncFlag) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	err := f.do("sync")
	switch {
	case err != nil && !f.dead:
		f.inode.pending = nil
	case err == nil && !f.lying:
		f.inode.safe = append(f.inode.safe[:0], f.inode.now...)
		f.inode.pending = nil
		if f.fresh {
			f.fresh = false
			f.syncNames()
		}
	}
	return err
}

func (f *diskFile) Size() (int64, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return int64(len(f.inode.now)), nil
}

func (f *diskFile) SectorSize() int { return 4096 }

func (f *diskFile) DeviceCharacteristics() vfs.DeviceCharacteristic {
	return vfs.IOCAP_POWERSAFE_OVERWRITE
}

func (f *diskFile) SharedMemory() vfs.SharedMemory { return f.shm }

// lockState counts who holds a file, as SQLite's locking asks.
type lockState struct {
	shared             int
	reserved, pendings bool
}

func (f *diskFile) Lock(want vfs.LockLevel) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	locks := &f.inode.locks
	if f.lock >= want {
		return nil
	}
	switch want {
	case vfs.LOCK_SHARED:
		if locks.pendings {
			return sqlite3.BUSY
		}
		locks.shared++
	case vfs.LOCK_RESERVED:
		if locks.reserved {
			return sqlite3.BUSY
		}
		locks.reserved = true
	case vfs.LOCK_EXCLUSIVE:
		if locks.shared > 1 || locks.reserved && f.lock < vfs.LOCK_RESERVED {
			return sqlite3.BUSY
		}
		locks.reserved, locks.pendings = true, true
	default:
		return fmt.Errorf("lock level %d", want)
	}
	f.lock = want
	return nil
}

func (f *diskFile) Unlock(want vfs.LockLevel) error {
	f.mu.Lock()
	defer f.mu.Unlock()
	locks := &f.inode.locks
	if f.lock >= vfs.LOCK_RESERVED && want < vfs.LOCK_RESERVED {
		locks.reserved, locks.pendings = false, false
	}
	if f.lock >= vfs.LOCK_SHARED && want < vfs.LOCK_SHARED {
		locks.shared--
	}
	f.lock = min(f.lock, want)
	return nil
}

func (f *diskFile) CheckReservedLock() (bool, error) {
	f.mu.Lock()
	defer f.mu.Unlock()
	return f.inode.locks.reserved, nil
}
