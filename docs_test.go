package gauged_test

import (
	"strings"
	"testing"

	"gauged/internal/devices"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/vet"
)

// TestFilesInTheDocuments: every procedure, part family and layout that the
// documents show can be loaded.
func TestFilesInTheDocuments(t *testing.T) {
	procedures, families, layouts, tables := 0, 0, 0, 0
	for _, doc := range glob(t, "docs/*.md") {
		for _, block := range blocks(readFile(t, doc)) {
			switch {
			case strings.HasPrefix(block, "procedure:"):
				procedures++
				if _, err := vet.ReadProcedure(doc, []byte(block)); err != nil {
					t.Errorf("%s shows\n%s\nbut %v", doc, block, err)
				}
			case strings.HasPrefix(block, "tables:"):
				tables++
				const around = "procedure: p\ntitle: t\nunit: mm\nmeasure: {old: {title: old mark, one_of: [\"-3\", \"+2\"]}}\nvalues: {a: 1}\n"
				if _, err := vet.ReadProcedure(doc, []byte(around+block)); err != nil {
					t.Errorf("%s shows\n%s\nbut %v", doc, block, err)
				}
			case strings.HasPrefix(block, "family:"):
				families++
				if _, err := procedure.ReadFamily(doc, []byte(block)); err != nil {
					t.Errorf("%s shows\n%s\nbut %v", doc, block, err)
				}
			case strings.HasPrefix(block, "layout:"):
				layouts++
				if _, err := devices.ParseLayout(doc, []byte(block)); err != nil {
					t.Errorf("%s shows\n%s\nbut %v", doc, block, err)
				}
			}
		}
	}
	if procedures < 20 || families < 10 || layouts < 2 || tables < 2 {
		t.Errorf("only %d procedures, %d families, %d layouts and %d tables were found", procedures, families, layouts, tables)
	}
}

// TestExamplesInTheDocuments: every procedure of docs/rules.md has an example,
// and it comes out with the family that stands beside it.
func TestExamplesInTheDocuments(t *testing.T) {
	all := blocks(readFile(t, "docs/rules.md"))
	family := func(id string, from int) *procedure.Family {
		for i := range all { // those that follow, then those before
			if block := all[(from+i)%len(all)]; id != "" && procedure.IsFamily([]byte(block), id) {
				f, err := procedure.ReadFamily("docs/rules.md", []byte(block))
				if err != nil {
					t.Fatal(err)
				}
				return f
			}
		}
		return nil
	}
	ran := 0
	for i, block := range all {
		if !strings.HasPrefix(block, "procedure:") {
			continue
		}
		p, err := vet.ReadProcedure("docs/rules.md", []byte(block))
		if err != nil {
			t.Fatal(err)
		}
		if len(p.Examples) == 0 {
			t.Errorf("%s has no example", p.ID)
		}
		families := procedure.Families{}
		for _, id := range p.FamilyIDs() {
			families[id] = family(id, i)
		}
		if err := vet.CheckExamples(p, families); err != nil {
			t.Errorf("%s: %v", p.ID, err)
		}
		ran += len(p.Examples)
	}
	if ran < 30 {
		t.Errorf("only %d examples were found", ran)
	}
}

// blocks returns the indented blocks of a document, without their indent.
func blocks(doc string) []string {
	var all []string
	var block strings.Builder
	for line := range strings.Lines(doc + "\n.\n") {
		if text, ok := strings.CutPrefix(line, "    "); ok {
			block.WriteString(text)
			continue
		}
		if block.Len() > 0 {
			all = append(all, block.String())
			block.Reset()
		}
	}
	return all
}
