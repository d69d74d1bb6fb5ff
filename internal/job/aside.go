package job

import (
	"maps"
	"slices"
	"strings"
	"time"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// The kinds of facts by which a job waits, is taken up again, and is put right.
const (
	KindAside   = "aside"
	KindResumed = "resumed" // by is who goes on with it
	KindSerial  = "serial"  // its unit has another serial number than was said
	KindGauges  = "gauges"  // measurements have other gauges from here on
)

// AsideData is why a job is set aside.
type AsideData struct {
	Reason string `json:"reason"`
	For    string `json:"for,omitempty"` // who is to take it up; empty: anybody
}

// ResumedData is what a job is taken up with.
type ResumedData struct {
	// Gauges are those of measurements that have others from now on; empty: it is typed in.
	Gauges    map[string]string        `json:"gauges,omitempty"`
	Abilities map[string]gauge.Ability `json:"abilities,omitempty"` // of these
	Typed     []string                 `json:"typed,omitempty"`     // of these the ones without a connection
	// LetGo are gauges of which nothing more is wanted and that measure elsewhere, or serve no more.
	LetGo    []string        `json:"let_go,omitempty"`
	Warnings []gauge.Message `json:"warnings,omitempty"` // of what changed meanwhile
}

// GaugesData gives measurements of a job on the bench other gauges.
type GaugesData struct {
	Gauges    map[string]string        `json:"gauges"`           // by measurement, from now on; empty: it is typed in
	Before    map[string]string        `json:"before,omitempty"` // those of before; none: it was typed in
	Reason    string                   `json:"reason"`
	Abilities map[string]gauge.Ability `json:"abilities,omitempty"` // of the new ones
	Typed     []string                 `json:"typed,omitempty"`     // of these the ones without a connection
	Warnings  []gauge.Message          `json:"warnings,omitempty"`  // of these
}

// SerialData puts the serial number of the unit right.
type SerialData struct {
	Serial string `json:"unit_serial"`
	Before string `json:"before"`
	Reason string `json:"reason"`
}

// Renumbered is the fact that puts the serial number of a job's unit right.
func (j *Job) Renumbered(serial, reason string) (kind string, data any, err error) {
	serial, reason = strings.TrimSpace(serial), strings.TrimSpace(reason)
	switch {
	case serial == "":
		return "", nil, gauge.WrongInput("refusal.job.serial")
	case reason == "":
		return "", nil, gauge.WrongInput("refusal.serial.why", gauge.Count("job", j.ID))
	case j.UnitSerial == serial:
		return "", nil, gauge.Refused("refusal.serial.same", gauge.Count("job", j.ID), gauge.Text("serial", serial))
	}
	return KindSerial, SerialData{Serial: serial, Before: j.UnitSerial, Reason: reason}, nil
}

// Working is the job as it goes on once it is taken up; it itself where it does not wait.
func (j *Job) Working() *Job {
	if j.Aside == nil {
		return j
	}
	working := *j
	working.Aside = nil
	working.Stage = working.stage()
	working.Measuring = working.due()
	return &working
}

// OnBench refuses what cannot be done in a job that is set aside.
func (j *Job) OnBench() error {
	if a := j.Aside; a != nil {
		return gauge.Refused("refusal.aside.waits", gauge.Count("job", j.ID), gauge.Text("reason", a.Reason))
	}
	return nil
}

// Aside is that a job waits, and since when.
type Aside struct {
	Reason string
	By     string
	For    string // who is to take it up; empty: anybody
	Since  time.Time
}

// waits takes up the facts of this file.
func (j *Job) waits(f *gauge.JobFact) error {
	switch f.Kind {
	case KindAside:
		data, err := Unmarshal[AsideData](f)
		if err != nil {
			return err
		}
		j.Aside = &Aside{Reason: data.Reason, By: f.By, For: data.For, Since: f.Time}
	case KindResumed:
		data, err := Unmarshal[ResumedData](f)
		if err != nil {
			return err
		}
		j.Aside, j.Technician, j.letGo = nil, f.By, data.LetGo
		j.rebind(data.Gauges, data.Abilities, data.Typed)
		j.Told = append(slices.Clip(j.Told), data.Warnings...)
		j.Warnings = j.Told
	case KindGauges:
		data, err := Unmarshal[GaugesData](f)
		if err != nil {
			return err
		}
		taken := GaugesOf(data.Gauges)
		j.letGo = slices.DeleteFunc(slices.Clone(j.letGo), func(id string) bool { return taken[id] })
		j.rebind(data.Gauges, data.Abilities, data.Typed)
		j.Told = append(slices.Clip(j.Told), data.Warnings...)
		j.Warnings = j.Told
	case KindSerial:
		data, err := Unmarshal[SerialData](f)
		if err != nil {
			return err
		}
		j.EarlierSerials = append(slices.Clip(j.EarlierSerials), j.UnitSerial)
		j.UnitSerial = data.Serial
	case KindLabelled:
		data, err := Unmarshal[LabelledData](f)
		if err != nil {
			return err
		}
		j.Labels = data.Labels
	}
	return nil
}

// rebind gives measurements other gauges, with what is known of these and which of them are
// typed in.
func (j *Job) rebind(gauges map[string]string, abilities map[string]gauge.Ability, typed []string) {
	j.Typed = append(slices.Clip(j.Typed), typed...)
	if len(gauges) == 0 {
		return
	}
	j.Gauges, j.Abilities = maps.Clone(j.Gauges), maps.Clone(j.Abilities)
	if j.Gauges == nil {
		j.Gauges = map[string]string{}
	}
	if j.Abilities == nil {
		j.Abilities = map[string]gauge.Ability{}
	}
	for measurement, id := range gauges {
		delete(j.Gauges, measurement)
		delete(j.Abilities, measurement)
		if id != "" {
			j.Gauges[measurement] = id
		}
	}
	maps.Copy(j.Abilities, abilities)
}

// Binds reports whether any measurement of the job is bound to the gauge.
func (j *Job) Binds(gaugeID string) bool {
	for _, g := range j.Gauges {
		if g == gaugeID {
			return true
		}
	}
	return false
}

// Uses reports whether the job holds the gauge: one that is set aside holds none.
func (j *Job) Uses(gaugeID string) bool {
	return j.Aside == nil && j.Binds(gaugeID) && !slices.Contains(j.letGo, gaugeID)
}

// Wants reports whether readings of a gauge are still to be taken.
func (j *Job) Wants(gaugeID string) bool {
	for measurement, id := range j.Gauges {
		if m, applies := j.Measurement(measurement); id == gaugeID && (!applies || !m.Complete) {
			return true
		}
	}
	return false
}

// HasReadings reports whether a measurement has readings that count.
func (j *Job) HasReadings(measurement string) bool {
	return slices.ContainsFunc(j.Counting(), func(r procedure.Reading) bool { return r.Measurement == measurement && r.Discarded == "" })
}

// FileVersions are the hashes of the procedure and of the part families of the start, by their ids.
func (j *Job) FileVersions() (procedureHash string, families map[string]string) {
	families = map[string]string{}
	for id, f := range j.Families {
		families[id] = f.Hash
	}
	return j.first().Hash, families
}

// GaugesAt are the gauges of these measurements, as far as they have one.
func (j *Job) GaugesAt(measurements map[string]string) map[string]string {
	at := map[string]string{}
	for name := range measurements {
		if id := j.Gauges[name]; id != "" {
			at[name] = id
		}
	}
	return at
}

// GaugesOf are the gauges of a job, each once.
func GaugesOf(byMeasurement map[string]string) map[string]bool {
	ids := map[string]bool{}
	for _, id := range byMeasurement {
		ids[id] = true
	}
	return ids
}
