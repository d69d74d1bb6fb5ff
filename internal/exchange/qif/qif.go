package qif

import (
	"cmp"
	"crypto/sha256"
	"encoding/xml"
	"fmt"
	"io"
	"maps"
	"slices"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/types/known/timestamppb"

	gaugedv1 "gauged/api/gauged/v1"
	"gauged/internal/wire"
)

// Write writes the present round of a job. What is written of a job that is open says
// how far it is; it is no result yet, and its status says so.
func Write(w io.Writer, job *gaugedv1.Job) error {
	b := &builder{job: job, e: job.GetEvaluation(), p: job.GetProcedure()}
	d, err := b.document()
	if err != nil {
		return err
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	encoder := xml.NewEncoder(w)
	encoder.Indent("", "  ")
	if err := encoder.Encode(d); err != nil {
		return err
	}
	_, err = io.WriteString(w, "\n")
	return err
}

// builder numbers the elements of one document, from 1.
type builder struct {
	job *gaugedv1.Job
	e   *gaugedv1.Evaluation
	p   *gaugedv1.Procedure

	last    int
	devices map[string]int // ids by the id of the gauge
	units   units
}

func (b *builder) id() int {
	b.last++
	return b.last
}

func (b *builder) document() (*document, error) {
	id, err := idOf(b.job)
	if err != nil {
		return nil, err
	}
	b.units.primary = b.p.GetUnit()
	procedure := b.procedure()
	d := &document{
		Version: version, QPID: id,
		Header:    header{Application: "gauged", Description: fmt.Sprintf("job %d, round %d", b.job.GetId(), max(1, b.job.GetRound()))},
		Standards: standards{1, []standard{procedure}},
		Devices:   b.gauges(),
	}
	unit := component{ID: b.id(), Serial: b.job.GetUnitSerial(), Status: b.status()}
	all, measured := b.aspects(unit.ID)
	if measured != nil {
		all.Standard = procedure.ID
		d.Characteristics = all
	}
	d.Results.Set = resultsSet{1, []measurements{b.results(measured, unit)}}
	d.Results.Components = componentSet{1, []components{{1, []component{unit}}}}
	d.Parts = b.product(all)
	d.Units = b.units.file()
	d.MaxID = b.last
	return d, nil
}

// procedure is what the characteristics are judged against.
func (b *builder) procedure() standard {
	return standard{
		ID: b.id(), Organization: cmp.Or(token(b.p.GetSource()), "the shop"), Designator: token(b.p.GetId()), Title: b.p.GetTitle(),
		Attributes: said("edition", b.p.GetEdition(), "sha-256", b.p.GetHash()),
	}
}

// aspects are the characteristics of a unit and their measurements; nil where there is none.
func (b *builder) aspects(unit int) (*characteristics, *list) {
	all, measured := &characteristics{}, &list{}
	for _, c := range b.characteristics() {
		a := b.aspect(c, unit)
		all.Definitions.add(a.definition)
		all.Nominals.add(a.nominal)
		all.Items.add(a.item)
		measured.add(a.measurement)
	}
	if measured.N == 0 {
		return all, nil
	}
	return all, measured
}

// instrument is what a reading was taken with: a gauge, or what the procedure names
// where somebody read it and typed the value; empty where that is not said.
func instrument(r *gaugedv1.TakenReading) string {
	if typed, ok := strings.CutPrefix(r.GetGaugeId(), "typed"); ok {
		return strings.TrimPrefix(typed, ": ")
	}
	return r.GetGaugeId()
}

// gauges are those that have given a reading.
func (b *builder) gauges() *devices {
	var names []string
	for _, m := range b.e.GetMeasurements() {
		for _, r := range m.GetReadings() {
			if name := instrument(r); name != "" && !slices.Contains(names, name) {
				names = append(names, name)
			}
		}
	}
	if len(names) == 0 {
		return nil
	}
	slices.Sort(names)
	b.devices = map[string]int{}
	all := &devices{N: len(names)}
	for _, name := range names {
		b.devices[name] = b.id()
		all.Devices = append(all.Devices, device{b.devices[name], token(name)})
	}
	return all
}

// product is the unit with its characteristics, and each part that was fitted to it.
func (b *builder) product(of *characteristics) parts {
	unit := part{ID: b.id(), Name: b.p.GetTitle()}
	if of.Nominals.N > 0 {
		unit.Nominals = &references{N: of.Nominals.N}
		for _, x := range of.Nominals.Each {
			unit.Nominals.IDs = append(unit.Nominals.IDs, x.(nominal).ID)
		}
	}
	all := []part{unit}
	for _, f := range b.e.GetFits() {
		fitted := f.GetFitted()
		if fitted == nil {
			continue
		}
		thickness, how := fitted.GetThickness(), "nominal"
		if fitted.GetMeasured() {
			how = "measured"
		}
		if thickness == nil {
			how = ""
		}
		all = append(all, part{
			ID: b.id(), Name: cmp.Or(f.GetTitle(), f.GetPlace(), "fitted part"), Model: fitted.GetPart(),
			Attributes: said("place", f.GetPlace(), "thickness", inWords(thickness), "thickness is", how),
		})
	}
	return parts{len(all), all}
}

func (b *builder) results(taken *list, unit component) measurements {
	return measurements{
		ID: b.id(),
		Attributes: said(append([]string{
			"stage", code(b.job.GetStage(), "JOB_STAGE_"), "outcome", code(b.e.GetOutcome(), "OUTCOME_"),
			"signed", fmt.Sprint(b.job.GetVerified()), "decision rule", b.e.GetDecisionRule().GetCode(),
			b.closed(), b.job.GetCloseReason(), "history entry", fmt.Sprint(b.job.GetLastSeq()),
		}, b.labels()...)...),
		Traceability: traceability{
			Order: b.job.GetLabels()[orderLabel], Report: fmt.Sprint(b.job.GetId()), Start: moment(b.job.GetStartTime()), End: moment(b.job.GetCloseTime()), Operator: token(b.job.GetBy()),
		},
		Measured:   taken,
		Status:     unit.Status,
		Components: references{1, []int{unit.ID}},
	}
}

// closed is what the reason of a closing is called: a verdict that stands is none that is missing.
func (b *builder) closed() string {
	if wire.Unfinished(b.job) {
		return "closed unfinished because"
	}
	return "reason"
}

// orderLabel is the label that has an element of its own.
const orderLabel = "order"

// labels are the others, with their names.
func (b *builder) labels() (pairs []string) {
	for _, name := range slices.Sorted(maps.Keys(b.job.GetLabels())) {
		if name != orderLabel {
			pairs = append(pairs, "label "+name, b.job.GetLabels()[name])
		}
	}
	return pairs
}

// status is that of the unit. What is undecided has no word of its own in QIF.
func (b *builder) status() jobStatus {
	switch b.e.GetOutcome() {
	case gaugedv1.Outcome_OUTCOME_CONFORMS:
		return jobStatus{Known: "PASS"}
	case gaugedv1.Outcome_OUTCOME_DOES_NOT_CONFORM, gaugedv1.Outcome_OUTCOME_WRONG_PART:
		return jobStatus{Known: "FAIL"}
	case gaugedv1.Outcome_OUTCOME_UNDECIDED:
		return jobStatus{Known: "UNKNOWN"}
	case gaugedv1.Outcome_OUTCOME_UNSPECIFIED, gaugedv1.Outcome_OUTCOME_MEASURING:
		return jobStatus{Known: "NOT_MEASURED"}
	case gaugedv1.Outcome_OUTCOME_CALCULATED:
		return jobStatus{Known: "NOT_CALCULATED"}
	default:
		return jobStatus{Other: code(b.e.GetOutcome(), "OUTCOME_")}
	}
}

// idOf is a UUID of version 8 (RFC 9562) from the job as it stands, so that one state
// of a job has one id, and another state another.
func idOf(job *gaugedv1.Job) (string, error) {
	bytes, err := proto.MarshalOptions{Deterministic: true}.Marshal(job)
	if err != nil {
		return "", err
	}
	h := sha256.Sum256(bytes)
	h[6] = h[6]&0x0f | 0x80
	h[8] = h[8]&0x3f | 0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", h[:4], h[4:6], h[6:8], h[8:10], h[10:16]), nil
}

// said is a list of names and texts as attributes; empty texts are left out.
func said(pairs ...string) *attributes {
	all := &attributes{}
	for pair := range slices.Chunk(pairs, 2) {
		if pair[1] != "" {
			all.Each = append(all.Each, attribute{pair[0], pair[1]})
		}
	}
	if all.N = len(all.Each); all.N == 0 {
		return nil
	}
	return all
}

func (l *list) add(x any) { l.Each, l.N = append(l.Each, x), l.N+1 }

// token is a text as xs:token has it: on one line, with single spaces.
func token(text string) string { return strings.Join(strings.Fields(text), " ") }

func code(e fmt.Stringer, prefix string) string {
	return strings.ToLower(strings.TrimPrefix(e.String(), prefix))
}

func moment(t *timestamppb.Timestamp) string {
	if t == nil {
		return ""
	}
	return t.AsTime().Format(time.RFC3339Nano)
}
