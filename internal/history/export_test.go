package history

import "context"

// OpenOn opens a history on a disk of the test.
func OpenOn(ctx context.Context, path, vfs string, syncDir func(string) error) (*Store, error) {
	return open(ctx, place{path: path, vfs: vfs, syncDir: syncDir})
}

// ExecWriter runs SQL on the connection that writes.
func (s *Store) ExecWriter(sql string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.writer.conn.Exec(sql)
}
