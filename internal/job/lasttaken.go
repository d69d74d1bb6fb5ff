package job

import (
	"maps"

	"gauged/internal/gauge"
)

// LastTaken is the number of the fact that last took a reading of each gauge, of the facts
// of one job. With an error it is what was found before what cannot be read.
func LastTaken(facts []gauge.Fact) (last map[string]uint64, err error) {
	last = map[string]uint64{}
	gauges := map[string]string{} // by measurement
	for _, f := range facts {
		switch f.Job.Kind {
		case KindStarted:
			data, err := Unmarshal[StartedData](f.Job)
			if err != nil {
				return last, err
			}
			maps.Copy(gauges, data.Gauges)
		case KindResumed:
			data, err := Unmarshal[ResumedData](f.Job)
			if err != nil {
				return last, err
			}
			maps.Copy(gauges, data.Gauges)
		case KindGauges:
			data, err := Unmarshal[GaugesData](f.Job)
			if err != nil {
				return last, err
			}
			maps.Copy(gauges, data.Gauges)
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
