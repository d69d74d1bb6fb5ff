package station

import (
	"context"
	"fmt"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// fileStore finds file versions by their hashes.
type fileStore interface {
	File(ctx context.Context, hash string) (gauge.File, error)
}

// fileCache reads file versions from the history, each once. It belongs to the
// loop, which takes it over from New, or to one replay.
type fileCache struct {
	store      fileStore
	procedures map[string]*procedure.Procedure
	families   map[string]*procedure.Family
}

func (c *fileCache) procedure(hash string) (*procedure.Procedure, error) {
	return cached(&c.procedures, hash, c.store, evaluate.ReadStoredProcedure)
}

func (c *fileCache) family(hash string) (*procedure.Family, error) {
	return cached(&c.families, hash, c.store, procedure.ReadFamily)
}

func cached[T any](cache *map[string]*T, hash string, store fileStore, read func(string, []byte) (*T, error)) (*T, error) {
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
