package job

import (
	"slices"

	"gauged/internal/gauge"
)

// had notes who started the job, took it up, or signed or closed it.
func (j *Job) had(f *gauge.JobFact) {
	switch f.Kind {
	case KindStarted, KindResumed, KindVerified, KindClosed:
		if f.By != "" && !slices.ContainsFunc(j.People, func(name string) bool { return gauge.SameSerial(name, f.By) }) {
			j.People = append(slices.Clip(j.People), f.By)
		}
	}
}
