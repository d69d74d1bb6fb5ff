package export

import (
	"encoding/json"
	"fmt"
	"strconv"
	"time"

	"gauged/internal/cli/app"
)

// resultColumns are those of results, in the order of the fields.
func resultColumns() []column {
	text := func(name string, of func(*result) string) column {
		return column{name: name, text: func(entry any) string { return of(entry.(*result)) }}
	}
	typed := func(name string, kind app.Kind, of func(*result) any) column {
		return column{
			name: name, kind: kind,
			value: func(entry any) any { return of(entry.(*result)) },
			text:  func(entry any) string { return textOf(of(entry.(*result))) },
		}
	}
	return []column{
		typed("job", app.KindInteger, func(r *result) any { return int64(r.Job) }),
		text("unit_serial", func(r *result) string { return r.UnitSerial }),
		text("procedure_id", func(r *result) string { return r.Procedure }),
		text("procedure_edition", func(r *result) string { return r.Edition }),
		typed("start_time", app.KindTime, func(r *result) any { return r.Started }),
		typed("close_time", app.KindTime, func(r *result) any { return there(r.Closed) }),
		text("by", func(r *result) string { return r.By }),
		typed("round", app.KindInteger, func(r *result) any { return int64(r.Round) }),
		text("result", func(r *result) string { return r.Result }),
		text("title", func(r *result) string { return r.Title }),
		typed("after_fitting", app.KindBool, func(r *result) any { return r.After }),
		text("value", func(r *result) string { return r.Value }),
		text("unit", func(r *result) string { return r.Unit }),
		typed("value_picometres", app.KindInteger, func(r *result) any { return there(r.Picometres) }),
		text("allowed_min", func(r *result) string { return r.Least }),
		text("allowed_max", func(r *result) string { return r.Most }),
		text("outcome", func(r *result) string { return r.Outcome }),
		typed("probability", app.KindNumber, func(r *result) any { return there(r.Probability) }),
		text("fitted", func(r *result) string { return r.Fitted }),
		text("job_outcome", func(r *result) string { return r.JobOutcome }),
		typed("signed", app.KindBool, func(r *result) any { return r.Signed }),
		text("order", func(r *result) string { return r.Order }),
		text("customer", func(r *result) string { return r.Customer }),
		text("labels", labelsText),
	}
}

// labelsText are the labels as an object of JSON, so that a name or a text may have any
// sign in it; empty: there are none.
func labelsText(r *result) string {
	if len(r.Labels) == 0 {
		return ""
	}
	text, _ := json.Marshal(r.Labels) // texts alone: nothing of them can fail
	return string(text)
}

// there is a value that may be missing; nil: it is.
func there[T any](value *T) any {
	if value == nil {
		return nil
	}
	return *value
}

// nanoseconds writes each time with as many digits, so that texts are in the order of times.
const nanoseconds = "2006-01-02T15:04:05.000000000Z07:00"

func textOf(value any) string {
	switch v := value.(type) {
	case nil:
		return ""
	case time.Time:
		return v.UTC().Format(nanoseconds)
	case float64:
		return strconv.FormatFloat(v, 'g', -1, 64)
	}
	return fmt.Sprint(value)
}
