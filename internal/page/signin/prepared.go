package signin

import (
	"net/http"
	"net/url"
	"slices"
	"strings"

	"gauged/internal/access"
	"gauged/internal/words"
)

// Prepared is an act that somebody has filled in on a device, and that is carried out under
// the name of whoever says there who they are.
type Prepared struct {
	Does string // what is done, as a key of the catalogue
	To   string // the number or the name of what it is done to
	By   string // who is signed in on the device; empty: nobody
	Back string // the page of what it would be done to
	form url.Values
}

// Row is one of the values of a form, as people read it.
type Row struct{ Name, Value string }

// preparedOf is the act that a form is for.
func preparedOf(way access.Way, r *http.Request, by string) *Prepared {
	p := &Prepared{Does: "prepared", By: by, Back: "/", form: r.PostForm}
	pattern, path := strings.Split(strings.TrimPrefix(way.Name, "POST /"), "/"), strings.Split(strings.Trim(r.URL.Path, "/"), "/")
	var does []string
	for i, part := range pattern {
		switch {
		case !strings.HasPrefix(part, "{"):
			does = append(does, part)
		case i == 1 && i < len(path):
			p.To, p.Back = path[i], "/"+path[0]+"/"+url.PathEscape(path[i])
		}
	}
	p.Does += "." + strings.Join(does, "-")
	if p.To == "" {
		p.To = r.PostForm.Get("serial")
	}
	return p
}

// bookkeeping are the fields of forms that say nothing to who signs.
var bookkeeping = []string{"seen", "request", "by", "technician", "base", "read", "sure", "do", "at", "text"}

// labels are the texts of the fields of forms.
var labels = map[string]string{
	"reason": "proc.reason", "other": "job.discard.other", "serial": "sheet.serial", "order": "label.order", "customer": "label.customer", "procedure": "sheet.procedure", "standing": "gauge.standing",
	"check": "prepared.field.check", "place": "prepared.field.place", "part": "sheet.head.part", "thickness": "job.thickness",
	"from": "job.thickness.from", "for": "aside.for", "shown": "sheet.head.value", "unit": "proc.unit", "goes": "job.goes", "stays": "job.stays",
	"instrument": "job.instrument", "reading": "sheet.head.reading", "gauge": "sheet.head.gauge", "remark": "check.remark", "occasion": "check.occasion",
	"temperature": "check.temperature", "tolerance": "study.tolerance", "master": "check.masters", "repeats": "check.repeats", "kind": "study.question",
	"parts": "study.parts", "persons": "study.persons", "trials": "study.trials", "reference": "study.reference", "seed": "study.seed", "since": "study.since",
	"job": "edit.job", "readings": "edit.typed",
}

// closedLists are the fields that have one word of a list, by where its texts stand.
var closedLists = map[string]string{"standing": "standing.", "kind": "study.kind."}

// Rows are the values that the form has, in order. A field without a label is shown under
// its own name: nothing that is signed is left out.
func (p *Prepared) Rows(w words.Words) (rows []Row) {
	for name, values := range p.form {
		value := strings.Join(slices.DeleteFunc(slices.Clone(values), func(v string) bool { return v == "" }), ", ")
		if value == "" || slices.Contains(bookkeeping, name) {
			continue
		}
		if list, ok := closedLists[name]; ok && w.Has(list+words.Key(value)) {
			value, _ = w.Say(list + words.Key(value))
		}
		rows = append(rows, Row{label(w, name), value})
	}
	slices.SortFunc(rows, func(a, b Row) int { return strings.Compare(a.Name, b.Name) })
	return rows
}

// label is how people call a field.
func label(w words.Words, field string) string {
	if step, ok := strings.CutPrefix(field, "gauge."); ok {
		gauge, _ := w.Say("sheet.head.gauge")
		return gauge + ", " + step
	}
	if text, err := w.Say(labels[field]); err == nil {
		return text
	}
	return field
}
