package station

import (
	"errors"
	"strconv"
	"strings"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/job"
	"gauged/internal/words"
)

// Sentences show times in the zone of who reads them.
func init() { time.Local = time.UTC }

// said is what an error tells, behind the kind of a refusal.
func said(err error) string {
	text := words.In(words.English).Error(err)
	if refused := (*gauge.Refusal)(nil); errors.As(err, &refused) {
		text = refused.Kind.Error() + ": " + text
	}
	return text
}

// told is a message in English.
func told(m gauge.Message) string { return words.In(words.English).Tell(m) }

// warningsOf are the warnings of a job in English.
func warningsOf(j *job.Job) (texts []string) {
	for _, m := range j.Warnings {
		texts = append(texts, told(m))
	}
	return texts
}

// readingsText names readings by their numbers.
func readingsText(seqs []uint64) string {
	texts := make([]string, len(seqs))
	for i, seq := range seqs {
		texts[i] = strconv.FormatUint(seq, 10)
	}
	last := len(texts) - 1
	if last == 0 {
		return "reading " + texts[0]
	}
	return "readings " + strings.Join(texts[:last], ", ") + " and " + texts[last]
}
