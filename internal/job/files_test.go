package job

import (
	"context"
	"testing"

	"gauged/internal/gauge"
)

// stored are file versions by their hashes.
type stored map[string]string

func (s stored) File(_ context.Context, hash string) (gauge.File, error) {
	return gauge.File{Hash: hash, Name: hash + ".yaml", Content: []byte(s[hash])}, nil
}

// TestFilesOfEarlierVersions: a history has versions with words that files no longer have;
// they are read all the same.
func TestFilesOfEarlierVersions(t *testing.T) {
	files := NewFiles(stored{
		"marked": "procedure: marked\ntitle: t\nunit: mm\nmeasure: {letter: {title: letter, codes: [A, B]}}\nparts: classes\nchoose: {aim: code}\n",
		"summed": "procedure: summed\ntitle: t\nunit: mm\nmeasure: {a: {title: a, unit: 1}, b: {title: b, unit: 1}}\ngap: a + b\nparts: classes\nchoose: {aim: table, border: outside}\n",
		"family": "family: classes\ntitle: t\nunit: mm\ngrades: [{part: one}, {part: two}]\ncodes: {by: [letter], rows: {A: one, B: two}}\n",
	})
	for _, hash := range []string{"marked", "summed"} {
		if p, err := files.Procedure(hash); err != nil || p.ID != hash {
			t.Errorf("%s: %v", hash, err)
		}
	}
	f, err := files.Family("family")
	if err != nil || len(f.CodeRows) != 2 {
		t.Fatalf("%+v, %v", f, err)
	}
}

// TestWarningsOfEarlierJobs: a job that was stored when warnings were sentences still
// tells them.
func TestWarningsOfEarlierJobs(t *testing.T) {
	data, err := Unmarshal[ClosedData](&gauge.JobFact{Data: []byte(`{"warnings": ["gauge dial was never checked"]}`)})
	if err != nil || len(data.Warnings) != 1 || !data.Warnings[0].Equal(gauge.Plain("gauge dial was never checked")) {
		t.Errorf("%v, %v", data.Warnings, err)
	}
}
