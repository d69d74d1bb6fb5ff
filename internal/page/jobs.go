package page

import (
	"net/http"
	"strconv"

	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/job"
	"gauged/internal/page/lists"
	"gauged/internal/table"
)

func (p *Page) jobsRoutes(mux *http.ServeMux) {
	mux.Handle("GET /jobs", p.handle(p.showJobs))
	mux.Handle("GET /jobs.csv", p.handle(p.sendJobs))
}

// jobsPage is the list of jobs, newest first.
type jobsPage struct {
	lists.Asked
	Jobs       []*job.Job
	Pager      lists.Pager
	Table      string // address of the same list as CSV
	Outcomes   []evaluate.Outcome
	Procedures []*procedure.Procedure
	Gauges     []string
}

// Filtered reports whether something is asked for.
func (j jobsPage) Filtered() bool { return j.Asked != lists.Asked{} }

// jobsShown is how many jobs the list shows at most.
const jobsShown = 100

func (p *Page) showJobs(w http.ResponseWriter, r *request) error {
	page := jobsPage{Asked: lists.Read(r.FormValue), Outcomes: lists.Outcomes, Procedures: p.o.Station.Library().Procedures()}
	page.Table = lists.Address("/jobs.csv", page.Names()...)
	for _, g := range p.o.Station.Gauges() {
		page.Gauges = append(page.Gauges, g.ID)
	}
	q, err := page.Query()
	if err != nil {
		return err
	}
	q.Before, q.After, q.Limit = lists.Number(r.FormValue("before")), lists.Number(r.FormValue("after")), jobsShown+1
	jobs, err := p.o.Station.Jobs(r.Context(), q)
	if err != nil {
		return err
	}
	page.Jobs = jobs
	older, newer := q.After > 0, q.Before > 0
	switch more := len(jobs) > jobsShown; {
	case more && q.After > 0:
		page.Jobs, newer = jobs[1:], true
	case more:
		page.Jobs, older = jobs[:jobsShown], true
	}
	if len(page.Jobs) > 0 && newer {
		page.Pager.Newer = lists.Address("/jobs", page.Names("after", strconv.FormatUint(page.Jobs[0].ID, 10))...)
	}
	if len(page.Jobs) > 0 && older {
		page.Pager.Older = lists.Address("/jobs", page.Names("before", strconv.FormatUint(page.Jobs[len(page.Jobs)-1].ID, 10))...)
	}
	return p.write(w, r, "jobs", page)
}

// sendJobs sends all jobs that are asked for as a table, page by page, so that none of a long
// list is held. Times are in UTC.
func (p *Page) sendJobs(w http.ResponseWriter, r *request) error {
	q, err := lists.Read(r.FormValue).Query()
	if err != nil {
		return err
	}
	q.Limit = jobsShown
	jobs, err := p.o.Station.Jobs(r.Context(), q)
	if err != nil {
		return err
	}
	p.beginTable(w, "jobs")
	rows := [][]string{lists.Head}
	for {
		for _, j := range jobs {
			rows = append(rows, lists.Row(j))
		}
		if err := table.Write(w, rows); err != nil || len(jobs) < q.Limit {
			return err
		}
		rows, q.Before = nil, jobs[len(jobs)-1].ID
		if jobs, err = p.o.Station.Jobs(r.Context(), q); err != nil {
			panic(http.ErrAbortHandler) // it has begun: a whole table is not what comes
		}
	}
}

// beginTable says that a table of that name follows, to be kept as a file, and where the signed
// history ends, which a table has no place for.
func (p *Page) beginTable(w http.ResponseWriter, name string) {
	w.Header().Set("Content-Type", "text/csv; charset=utf-8")
	w.Header().Set("Content-Disposition", `attachment; filename="`+name+`.csv"`)
	w.Header().Set("History-Head", p.o.Station.Head().String())
}
