package job

import (
	"maps"

	"gauged/internal/gauge"
)

// rebound is what facts of several kinds say of the gauges of measurements.
type rebound struct {
	Gauges map[string]string `json:"gauges"`
}

// LastTaken is the number of the fact that last took a reading of each gauge, of the facts
// of one job. With an error it is what was found before what cannot be read.
func LastTaken(facts []gauge.Fact) (last map[string]uint64, err error) {
	last = map[string]uint64{}
	gauges := map[string]string{} // by measurement
	for _, f := range facts {
		switch f.Job.Kind {
		case KindStarted, KindResumed, KindGauges:
			changed, err := Unmarshal[rebound](f.Job)
			if err != nil {
				return last, err
			}
			maps.Copy(gauges, changed.Gauges)
		case KindTaken:
			data, err := Unmarshal[TakenData](f.Job)
			if err != nil {
				return last, err
			}
			last[gauges[data.Measurement]] = f.Seq
		}
	}
	return last, nil
}
