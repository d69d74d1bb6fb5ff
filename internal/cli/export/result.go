package export

import (
	"context"
	"strings"
	"time"

	"google.golang.org/protobuf/proto"

	"gauged/internal/cli/app"
	"gauged/internal/wire"

	pb "gauged/api/gauged/v1"
)

// result is a judged result of a job, with what it is judged by and what was fitted.
type result struct {
	Job         uint64            `json:"job"`
	UnitSerial  string            `json:"unit_serial"`
	Procedure   string            `json:"procedure_id"`
	Edition     string            `json:"procedure_edition"`
	Started     time.Time         `json:"start_time"`
	Closed      *time.Time        `json:"close_time"` // nil: it is open
	By          string            `json:"by"`
	Round       uint32            `json:"round"`
	Result      string            `json:"result"`
	Title       string            `json:"title"`
	After       bool              `json:"after_fitting"`
	Value       string            `json:"value"` // in Unit; of a mark what was read
	Unit        string            `json:"unit"`
	Picometres  *int64            `json:"value_picometres"` // nil: it is no length
	Least       string            `json:"allowed_min"`      // in Unit; empty: not limited
	Most        string            `json:"allowed_max"`
	Outcome     string            `json:"outcome"`
	Probability *float64          `json:"probability"` // nil: nothing is known of the gauges
	Fitted      string            `json:"fitted"`      // parts, with a semicolon between them
	JobOutcome  string            `json:"job_outcome"`
	Signed      bool              `json:"signed"`
	Order       string            `json:"order"` // that the job belongs to
	Customer    string            `json:"customer"`
	Labels      map[string]string `json:"labels"` // the others
}

// resultsPage is the judged results of a page of jobs.
func resultsPage(ctx context.Context, d *app.Daemon, request proto.Message) (page, error) {
	answer, err := app.Ask(ctx, d, d.Jobs.ListJobs, request.(*pb.ListJobsRequest))
	if err != nil {
		return page{}, err
	}
	p := page{next: answer.GetNextPageToken()}
	for _, j := range answer.GetJobs() {
		for _, g := range j.GetEvaluation().GetJudgements() {
			p.entries = append(p.entries, resultOf(j, g))
		}
	}
	return p, nil
}

func resultOf(j *pb.Job, g *pb.Judgement) *result {
	unit := wire.FromUnit(g.GetValue().GetUnit())
	r := &result{
		Job: j.GetId(), UnitSerial: j.GetUnitSerial(), Procedure: j.GetProcedure().GetId(), Edition: j.GetProcedure().GetEdition(),
		Started: j.GetStartTime().AsTime(), By: j.GetBy(), Round: j.GetRound(),
		Result: g.GetName(), Title: g.GetTitle(), After: g.GetAfterFitting(), Value: g.GetValue().GetText(), Unit: unit.String(),
		Least: g.GetAllowed().GetMin().GetText(), Most: g.GetAllowed().GetMax().GetText(),
		Outcome: word(g.GetOutcome()), Probability: g.Probability, JobOutcome: word(j.GetEvaluation().GetOutcome()), Signed: j.GetVerified(),
	}
	if g.GetMark() != "" {
		r.Value, r.Unit = g.GetMark(), ""
	}
	if x, ok := g.GetValue().GetExact().(*pb.Quantity_Picometres); ok {
		r.Picometres = &x.Picometres
	}
	if j.GetCloseTime() != nil {
		at := j.GetCloseTime().AsTime()
		r.Closed = &at
	}
	var fitted []string
	for _, f := range j.GetEvaluation().GetFits() {
		if part := f.GetFitted().GetPart(); part != "" {
			fitted = append(fitted, part)
		}
	}
	r.Fitted = strings.Join(fitted, "; ")
	r.Order, r.Customer = j.GetLabels()["order"], j.GetLabels()["customer"]
	r.Labels = map[string]string{}
	for name, text := range j.GetLabels() {
		if name != "order" && name != "customer" {
			r.Labels[name] = text
		}
	}
	return r
}

func word(o pb.Outcome) string {
	if o == pb.Outcome_OUTCOME_UNSPECIFIED {
		return ""
	}
	return strings.ToLower(strings.TrimPrefix(o.String(), "OUTCOME_"))
}
