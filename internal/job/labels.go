package job

import (
	"maps"
	"slices"
	"strings"

	"gauged/internal/gauge"
)

// Labels are what a shop knows a job by beside the serial number of its unit, such as the
// order that it belongs to: texts by their names.
type Labels map[string]string

// The labels that have a title of the station's, in the order in which they are told.
const (
	LabelOrder    = "order"
	LabelCustomer = "customer"
)

// titled are these.
var titled = []string{LabelOrder, LabelCustomer}

// LabelTitled reports whether a label has a title of the station's.
func LabelTitled(name string) bool { return slices.Contains(titled, name) }

// KindLabelled is the kind of fact by which a job has other labels.
const KindLabelled = "labelled"

// LabelledData are the labels that a job has from then on, all of them.
type LabelledData struct {
	Labels Labels `json:"labels"`
	Before Labels `json:"before,omitempty"`
	Reason string `json:"reason,omitempty"`
}

const (
	mostLabels       = 20
	longestLabelName = 40 // characters
)

// With are the labels with changes: a name gets its text, and loses its label where that is
// empty.
func (l Labels) With(changes Labels) (Labels, error) {
	after := maps.Clone(l)
	if after == nil {
		after = Labels{}
	}
	for _, name := range slices.Sorted(maps.Keys(changes)) {
		if err := labelName(name); err != nil {
			return nil, err
		}
		text, err := gauge.Tidied("labels["+name+"]", changes[name])
		if err != nil {
			return nil, err
		}
		if after[name] = text; text != "" {
			continue
		}
		if delete(after, name); l[name] == "" {
			return nil, gauge.WrongInput("refusal.label.empty", gauge.Text("name", name))
		}
	}
	if len(after) > mostLabels {
		return nil, gauge.WrongInput("refusal.label.many", gauge.Count("count", len(after)), gauge.Count("most", mostLabels))
	}
	return after, nil
}

// labelName refuses what is no name of a label.
func labelName(name string) error {
	if name == "" || len(name) > longestLabelName || strings.Trim(name, "abcdefghijklmnopqrstuvwxyz0123456789_-") != "" {
		return gauge.WrongInput("refusal.label.name", gauge.Text("name", name), gauge.Count("most", longestLabelName))
	}
	return nil
}

// Possible refuses labels that no job can have: who looks for them would find nothing, ever.
func (l Labels) Possible() error {
	for _, name := range slices.Sorted(maps.Keys(l)) {
		if err := labelName(name); err != nil {
			return err
		}
	}
	return nil
}

// Relabelled is the fact that changes labels of a job. One that was there and becomes another
// needs a reason.
func (j *Job) Relabelled(changes Labels, reason string) (kind string, data any, err error) {
	d := LabelledData{Before: j.Labels, Reason: strings.TrimSpace(reason)}
	if d.Labels, err = j.Labels.With(changes); err != nil {
		return "", nil, err
	}
	changed := d.Changed()
	corrected := slices.IndexFunc(changed, func(name string) bool { return j.Labels[name] != "" })
	switch {
	case len(changed) == 0:
		return "", nil, gauge.Refused("refusal.label.same", gauge.Count("job", j.ID))
	case corrected >= 0 && d.Reason == "":
		name := changed[corrected]
		return "", nil, gauge.WrongInput("refusal.label.why", gauge.Count("job", j.ID), gauge.Text("name", name), gauge.Text("text", j.Labels[name]))
	}
	return KindLabelled, d, nil
}

// Has reports whether all of these labels are there, their texts compared as serial numbers are.
func (l Labels) Has(wanted map[string]string) bool {
	for name, text := range wanted {
		if have, is := l[name]; !is || !gauge.SameSerial(have, text) {
			return false
		}
	}
	return true
}

// Typed are the changes that a form makes, which may have a field for each label that has a title.
func (l Labels) Typed(field func(name string) string) Labels {
	changes := Labels{}
	for _, name := range titled {
		if text := strings.TrimSpace(field(name)); text != l[name] {
			changes[name] = text
		}
	}
	return changes
}

// Names are the names of the labels in the order in which they are told.
func (l Labels) Names() []string {
	names := slices.Sorted(maps.Keys(l))
	for _, first := range slices.Backward(titled) {
		if i := slices.Index(names, first); i >= 0 {
			names = slices.Insert(slices.Delete(names, i, i+1), 0, first)
		}
	}
	return names
}

// Changed are the names of the labels that are others than before, in the order in which
// they are told.
func (d LabelledData) Changed() []string {
	all := Labels{}
	maps.Copy(all, d.Before)
	maps.Copy(all, d.Labels)
	return slices.DeleteFunc(all.Names(), func(name string) bool { return d.Before[name] == d.Labels[name] })
}
