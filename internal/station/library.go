package station

import (
	"context"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/evaluate"
	"gauged/internal/gauge"
)

// Kinds of files that the history keeps.
const (
	fileProcedure = "procedure"
	fileParts     = "parts"
)

// Library is the procedures and part families in force.
type Library struct {
	procedures map[string]*evaluate.Procedure
	families   map[string]*evaluate.Family
	contents   []gauge.File
}

// LibraryFile is one file that a shop wrote, as read from disk.
type LibraryFile struct {
	Path    string
	Content []byte
}

// NewLibrary reads procedures and part families and checks that they go
// together. The error lists every problem of every file.
func NewLibrary(procedures, families []LibraryFile) (*Library, error) {
	l := &Library{procedures: map[string]*evaluate.Procedure{}, families: map[string]*evaluate.Family{}}
	var problems []string
	paths := map[string]string{}
	taken := func(kind, id, path string) bool {
		if before, ok := paths[kind+id]; ok {
			problems = append(problems, fmt.Sprintf("%s:1:1: the %s id %q is taken by %s", path, kind, id, before))
			return true
		}
		paths[kind+id] = path
		return false
	}
	for _, file := range families {
		f, err := evaluate.ReadFamily(file.Path, file.Content)
		if err != nil {
			problems = append(problems, err.Error())
		} else if !taken(fileParts, f.ID, file.Path) {
			l.families[f.ID] = f
			l.contents = append(l.contents, gauge.File{Hash: f.Hash, Kind: fileParts, Name: f.ID, Content: file.Content})
		}
	}
	for _, file := range procedures {
		p, err := evaluate.ReadProcedure(file.Path, file.Content)
		if err != nil {
			problems = append(problems, err.Error())
		} else if !taken(fileProcedure, p.ID, file.Path) {
			if err := l.together(p, file.Path); err != nil {
				problems = append(problems, err.Error())
			}
			l.procedures[p.ID] = p
			l.contents = append(l.contents, gauge.File{Hash: p.Hash, Kind: fileProcedure, Name: p.ID, Content: file.Content})
		}
	}
	if len(problems) > 0 {
		return nil, fmt.Errorf("%s", strings.Join(problems, "\n"))
	}
	return l, nil
}

// together checks that the family of a procedure exists and suits it.
func (l *Library) together(p *evaluate.Procedure, path string) error {
	if p.FamilyID() == "" {
		return nil
	}
	f, ok := l.families[p.FamilyID()]
	if !ok {
		return fmt.Errorf("%s:1:1: procedure %s chooses from the part family %q, which no readable file gives", path, p.ID, p.FamilyID())
	}
	return p.Suits(f, path)
}

// Procedure returns the procedure of that id with its family, which is nil
// when it chooses from none.
func (l *Library) Procedure(id string) (*evaluate.Procedure, *evaluate.Family, error) {
	p, ok := l.procedures[id]
	if len(l.procedures) == 0 {
		return nil, nil, fmt.Errorf("%w: this station has no procedures; where it hands its readings to an evaluator, jobs are run there", ErrNotFound)
	}
	if !ok {
		return nil, nil, fmt.Errorf("%w: there is no procedure %q", ErrNotFound, id)
	}
	return p, l.families[p.FamilyID()], nil
}

// Procedures returns all procedures by id.
func (l *Library) Procedures() []*evaluate.Procedure {
	all := make([]*evaluate.Procedure, 0, len(l.procedures))
	for _, p := range l.procedures {
		all = append(all, p)
	}
	slices.SortFunc(all, func(a, b *evaluate.Procedure) int { return strings.Compare(a.ID, b.ID) })
	return all
}

// storeFiles puts file versions that the history does not have into it.
func (s *Station) storeFiles(ctx context.Context) error {
	var facts []gauge.Fact
	seq := s.o.Store.LastSeq()
	for _, f := range s.o.Library.contents {
		known, err := s.o.Store.HasFile(ctx, f.Hash)
		if err != nil {
			return fmt.Errorf("look up %s %s: %w", f.Kind, f.Name, err)
		}
		if known {
			continue
		}
		seq++
		file := f
		file.Time = s.o.Now()
		facts = append(facts, gauge.Fact{Seq: seq, File: &file})
	}
	if len(facts) == 0 {
		return nil
	}
	if err := s.o.Store.Append(ctx, facts); err != nil {
		return fmt.Errorf("store the procedures and part families: %w", err)
	}
	s.tail.add(facts)
	return nil
}

// fileCache reads file versions from the history, each once. It belongs to the
// loop, which takes it over from New, or to one replay.
type fileCache struct {
	store      Store
	procedures map[string]*evaluate.Procedure
	families   map[string]*evaluate.Family
}

func (c *fileCache) procedure(hash string) (*evaluate.Procedure, error) {
	return cached(&c.procedures, hash, c.store, evaluate.ReadProcedure)
}

func (c *fileCache) family(hash string) (*evaluate.Family, error) {
	return cached(&c.families, hash, c.store, evaluate.ReadFamily)
}

func cached[T any](cache *map[string]*T, hash string, store Store, read func(string, []byte) (*T, error)) (*T, error) {
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
