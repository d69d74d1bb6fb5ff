// Package library keeps the procedures and part families of a shop that go together.
package library

import (
	"errors"
	"maps"
	"slices"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
	"gauged/internal/vet"
)

// kindWords are the keys of the words for the kinds of files.
var kindWords = map[string]string{KindProcedure: "library.kind.procedure", KindParts: "library.kind.parts"}

// Kinds of files that the history keeps.
const (
	KindProcedure = "procedure"
	KindParts     = "parts"
)

// Library is procedures and part families that go together. It never changes.
type Library struct {
	procedures map[string]*procedure.Procedure
	families   procedure.Families
	files      []File // families first
}

// LibraryFile is one file that a shop wrote, as read from disk.
type Source struct {
	Path    string
	Content []byte
}

// ShopFile is a file of the library.
type File struct {
	Source
	Kind string // FileProcedure or FileParts
	ID   string // that it gives itself
	Hash string
}

// NewLibrary reads procedures and part families and checks that they go
// together. The error lists every problem of every file. ended is asked before each
// file and example: its error ends the reading and is returned.
func New(ended func() error, procedures, families []Source) (*Library, error) {
	l := &Library{procedures: map[string]*procedure.Procedure{}, families: procedure.Families{}}
	var problems []error
	broken := map[string]bool{} // families whose files have problems of their own
	ids := map[string]shopfile.Names{KindProcedure: {}, KindParts: {}}
	taken := func(kind, key string, file Source) bool {
		content, _ := shopfile.Split(file.Content) // its tables have no names
		doc := shopfile.Parse(file.Path, content)
		id := doc.Root().Map().Get(key)
		if ids[kind].Take(id, func(at gauge.Arg) gauge.Message {
			return gauge.Say("library.id-taken", gauge.Word("kind", kindWords[kind]), id.As("id"), at)
		}) {
			return false
		}
		problems = append(problems, doc.Err())
		return true
	}
	for _, file := range families {
		if err := ended(); err != nil {
			return nil, err
		}
		f, err := procedure.ReadFamily(file.Path, file.Content)
		if err != nil {
			problems = append(problems, err)
			broken[shopfile.NameIn(file.Content, "family")] = true
		} else if !taken(KindParts, "family", file) {
			if err := f.CheckSteps(); err != nil {
				problems = append(problems, err)
			}
			l.families[f.ID] = f
			l.files = append(l.files, File{file, KindParts, f.ID, f.Hash})
		}
	}
	for _, file := range procedures {
		if err := ended(); err != nil {
			return nil, err
		}
		p, err := vet.ReadProcedure(file.Path, file.Content)
		if err != nil {
			problems = append(problems, err)
		} else if !taken(KindProcedure, "procedure", file) {
			if lacks := p.Lacks(l.families); lacks != "" && broken[lacks] {
				continue
			}
			if err := l.together(ended, p, file.Path); err != nil {
				problems = append(problems, err)
			}
			l.procedures[p.ID] = p
			l.files = append(l.files, File{file, KindProcedure, p.ID, p.Hash})
		}
	}
	if err := ended(); err != nil {
		return nil, err
	}
	if len(problems) > 0 {
		return nil, errors.Join(problems...)
	}
	return l, nil
}

// together checks that the families of a procedure exist and suit it, and that
// its examples come out.
func (l *Library) together(ended func() error, p *procedure.Procedure, path string) error {
	if id := p.Lacks(l.families); id != "" {
		return p.Missing(id, l.families, path)
	}
	if err := p.Suits(l.families, path); err != nil {
		return err
	}
	return vet.CheckExamplesUntil(p, l.families, ended)
}

// Procedure returns the procedure of that id with the families that it chooses
// from.
func (l *Library) Procedure(id string) (*procedure.Procedure, procedure.Families, error) {
	p, ok := l.procedures[id]
	if len(l.procedures) == 0 {
		return nil, nil, gauge.NotFound("refusal.procedure.none")
	}
	if !ok {
		return nil, nil, gauge.NotFound("refusal.procedure.missing", gauge.Text("procedure", id), gauge.Others("others", id, slices.Collect(maps.Keys(l.procedures))))
	}
	families := procedure.Families{}
	for _, id := range p.FamilyIDs() {
		families[id] = l.families[id]
	}
	return p, families, nil
}

// Procedures returns all procedures by id.
func (l *Library) Procedures() []*procedure.Procedure {
	all := make([]*procedure.Procedure, 0, len(l.procedures))
	for _, p := range l.procedures {
		all = append(all, p)
	}
	slices.SortFunc(all, func(a, b *procedure.Procedure) int { return strings.Compare(a.ID, b.ID) })
	return all
}

// Families returns all part families by id.
func (l *Library) Families() []*procedure.Family {
	return slices.SortedFunc(maps.Values(l.families), func(a, b *procedure.Family) int { return strings.Compare(a.ID, b.ID) })
}

// Family returns the part family of that id.
func (l *Library) Family(id string) (*procedure.Family, error) {
	f, ok := l.families[id]
	if !ok {
		return nil, gauge.NotFound("refusal.family.missing", gauge.Text("family", id), gauge.Others("others", id, slices.Collect(maps.Keys(l.families))))
	}
	return f, nil
}

// Users returns the procedures that choose from a part family, by id.
func (l *Library) Users(family string) []*procedure.Procedure {
	return slices.DeleteFunc(l.Procedures(), func(p *procedure.Procedure) bool { return !slices.Contains(p.FamilyIDs(), family) })
}

// Files returns all files, part families first.
func (l *Library) Files() []File { return slices.Clone(l.files) }

// File returns the file of a procedure or part family.
func (l *Library) File(kind, id string) (File, error) {
	for _, f := range l.files {
		if f.Kind == kind && f.ID == id {
			return f, nil
		}
	}
	return File{}, gauge.NotFound("refusal.file.missing", gauge.Text("kind", kind), gauge.Text("id", id))
}

// With returns the library with another content of one file, everything checked
// together again. The error lists every problem of every file.
func (l *Library) With(ended func() error, kind, id string, content []byte) (*Library, error) {
	at, err := l.File(kind, id)
	if err != nil {
		return nil, err
	}
	var procedures, families []Source
	for _, f := range l.files {
		file := f.Source
		if f.Kind == kind && f.ID == id {
			file.Content = content
		}
		if f.Kind == KindParts {
			families = append(families, file)
		} else {
			procedures = append(procedures, file)
		}
	}
	next, err := New(ended, procedures, families)
	if err != nil {
		return nil, err
	}
	if _, err := next.File(kind, id); err != nil {
		return nil, shopfile.Problem{File: at.Path, Line: 1, Column: 1, Says: gauge.Say("library.other-id", gauge.Word("kind", kindWords[kind]), gauge.Text("id", id))}
	}
	return next, nil
}
