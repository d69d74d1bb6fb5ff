package history

import (
	"cmp"
	"encoding/json"
	"errors"
	"fmt"
	"slices"

	"gauged/internal/gauge"
)

// labelsOf writes by which labels a job is found, when a fact says what labels it has; nil is
// no fact of a job. What it had before stays: who loads a job knows what it has now.
func (w *writer) labelsOf(f *gauge.JobFact) error {
	if f == nil || f.Kind != "started" && f.Kind != "labelled" {
		return nil
	}
	var data struct {
		Labels map[string]string `json:"labels"`
	}
	if json.Unmarshal(f.Data, &data) != nil {
		return nil // as in the table of jobs: it is found by its number
	}
	for name, text := range data.Labels {
		err := errors.Join(w.label.BindText(1, gauge.LabelKey(name, text)), w.label.BindInt64(2, int64(f.Job)))
		if err == nil {
			err = w.label.Exec()
		}
		if err != nil {
			return fmt.Errorf("label %s of job %d: %w", name, f.Job, err)
		}
	}
	return nil
}

// manyLabelled is up to how many jobs with a label are counted, to see which of several
// labels the fewest have.
const manyLabelled = 2000

// labelKeys are the keys of labels, those first that few jobs had.
func (r *reader) labelKeys(labels map[string]string) (keys []string, err error) {
	had := map[string]uint64{}
	for name, text := range labels {
		key := gauge.LabelKey(name, text)
		if len(labels) > 1 && err == nil {
			had[key], err = r.number("SELECT count(*) FROM (SELECT 1 FROM job_labels WHERE key = ? LIMIT ?)", key, int64(manyLabelled))
		}
		keys = append(keys, key)
	}
	slices.SortFunc(keys, func(a, b string) int { return cmp.Or(cmp.Compare(had[a], had[b]), cmp.Compare(a, b)) })
	return keys, err
}
