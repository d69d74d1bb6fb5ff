package job

import (
	"context"
	"fmt"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// FileStore finds file versions by their hashes.
type FileStore interface {
	File(ctx context.Context, hash string) (gauge.File, error)
}

// Files reads file versions from the history, each once. It belongs to one goroutine.
type Files struct {
	store      FileStore
	procedures map[string]*procedure.Procedure
	families   map[string]*procedure.Family
}

// NewFiles has read none yet.
func NewFiles(store FileStore) *Files { return &Files{store: store} }

// Procedure is the procedure of a hash.
func (c *Files) Procedure(hash string) (*procedure.Procedure, error) {
	return cached(&c.procedures, hash, c.store, evaluate.ReadStoredProcedure)
}

// Family is the part family of a hash.
func (c *Files) Family(hash string) (*procedure.Family, error) {
	return cached(&c.families, hash, c.store, procedure.ReadStoredFamily)
}

func cached[T any](cache *map[string]*T, hash string, store FileStore, read func(string, []byte) (*T, error)) (*T, error) {
	if v, ok := (*cache)[hash]; ok {
		return v, nil
	}
	f, err := store.File(context.Background(), hash)
	if err != nil {
		return nil, fmt.Errorf("file version %s: %w", hash, err)
	}
	v, err := read(f.Name, f.Content)
	if err != nil {
		return nil, fmt.Errorf("file version %s: %w", hash, err)
	}
	if *cache == nil {
		*cache = map[string]*T{}
	}
	(*cache)[hash] = v
	return v, nil
}
