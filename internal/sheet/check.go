package sheet

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/station"
	"gauged/internal/words"
)

// House is whose sheets these are.
type House struct {
	Station string
	Shop    gauge.Shop
}

// CheckInput is what the sheet of a check tells of.
type CheckInput struct {
	House
	Gauge  station.GaugeInfo
	Check  *check.Record
	Next   *check.Record // the one after it that counts; nil: none yet
	Record string        // head of the history that the check stands in; empty: not said
}

// NewCheck makes the content of the sheet of a check.
func NewCheck(in CheckInput, w words.Words) (*Sheet, error) {
	m := &checkMaker{teller: teller{w: w.WithSigns(), text: fixed}, in: in, c: in.Check, u: in.Gauge.Unit}
	if !m.u.Known() {
		m.u = gauge.Millimetre
	}
	s := m.sheet()
	return s, m.err
}

// checkMaker makes the sheet of a check section by section.
type checkMaker struct {
	teller
	in CheckInput
	c  *check.Record
	u  gauge.Unit // of readings
}

// fixed writes what is computed to a tenth of a micrometre, or about as much.
func fixed(l gauge.Length, u gauge.Unit) string {
	switch u {
	case gauge.Millimetre:
		return l.Text(u, 4)
	case gauge.Inch:
		return l.Text(u, 6)
	case gauge.Micrometre:
		return l.Text(u, 1)
	}
	return l.TextIn(u)
}

// errors is the unit of errors.
func (m *checkMaker) errors() gauge.Unit {
	if m.u == gauge.Inch {
		return m.u
	}
	return gauge.Micrometre
}

func (m *checkMaker) sheet() *Sheet {
	c := m.c
	s := &Sheet{
		Title: m.say("sheet.check.title", c.Seq, m.in.Gauge.ID), Outcome: m.outcome(),
		Foot: m.say("sheet.check.foot"), Signs: []string{m.say("sheet.sign.check"), m.say("sheet.sign.checked")},
		Head: m.head(),
	}
	s.add(m.caution())
	s.add(m.points(m.say("sheet.check.found"), c.Result))
	if c.Left != nil {
		s.add(m.points(m.say("check.left"), *c.Left))
	} else {
		s.add(m.notAdjusted())
	}
	for _, section := range []*Section{m.masters(), m.rule(), m.readings(), m.record(m.in.Record)} {
		s.add(section)
	}
	return s
}

func (m *checkMaker) verdict(v check.Verdict) string { return m.say("check." + words.Key(v)) }

// outcome is the verdict as found, and as left where the gauge was adjusted.
func (m *checkMaker) outcome() string {
	found := m.say("sheet.check.found") + ": " + m.verdict(m.c.Result.Verdict)
	if m.c.Left == nil {
		return found
	}
	return found + "; " + m.say("check.left") + ": " + m.verdict(m.c.Left.Verdict)
}

func (m *checkMaker) head() (head []Pair) {
	c, shop := m.c, m.in.Shop
	add := func(key, value string) {
		if value != "" {
			head = append(head, Pair{m.say(key), value})
		}
	}
	add("sheet.head.gauge", joined(", ", m.in.Gauge.ID, m.in.Gauge.Title))
	add("sheet.serial", c.Plate.Serial)
	add("sheet.check.maker", joined(", ", c.Plate.Maker, c.Plate.Model))
	add("sheet.check.shop", joined(", ", shop.Name, shop.Street, joined(" ", shop.Post, shop.City), shop.Country, shop.Email))
	add("sheet.station", m.in.Station)
	add("sheet.head.time", m.w.Moment(c.Time))
	add("sheet.head.by", c.By)
	add("check.occasion", c.Occasion)
	if c.Job != 0 {
		add("sheet.check.job", fmt.Sprint(c.Job))
	}
	add("check.remark", c.Remark)
	if p := c.Past; p != nil {
		add("sheet.check.place", p.Place)
		add("sheet.check.certificate", p.Certificate)
		add("sheet.check.came", joined(", ", p.Brought, m.w.Moment(p.Came)))
	} else {
		add("sheet.check.temperature", m.temperature())
	}
	add("gauge.limit", m.limit(c.Result.Limit))
	add("gauge.resolution", m.resolution())
	return head
}

// joined are those texts that there are.
func joined(by string, texts ...string) string {
	return strings.Join(slices.DeleteFunc(texts, func(text string) bool { return text == "" }), by)
}

const reference = 20 * gauge.Length(1e9) // degrees Celsius (ISO 1)

func (m *checkMaker) temperature() string {
	t := m.c.Temperature
	if t == nil {
		return m.say("sheet.check.no-temperature")
	}
	at := t.Above + reference
	exact := func(l gauge.Length, u gauge.Unit) string { return m.unit(m.w.Number(l.TextIn(u)), u) }
	if t.Tolerance == 0 {
		return exact(at, gauge.DegreeCelsius)
	}
	return exact(at, gauge.DegreeCelsius) + " ± " + exact(t.Tolerance, gauge.Kelvin)
}

func (m *checkMaker) limit(l *gauge.Length) string {
	if l == nil {
		return m.say("gauge.unstated")
	}
	return "± " + m.value(l, m.errors())
}

func (m *checkMaker) resolution() string {
	if m.c.Ability.Resolution == nil {
		return m.say("gauge.unstated")
	}
	return m.exact(*m.c.Ability.Resolution)
}

// exact writes a length in the gauge's unit as it is, with the digits of its display at least.
func (m *checkMaker) exact(l gauge.Length) string {
	return m.unit(m.w.Number(l.Text(m.u, m.c.Ability.Decimals(l, m.u))), m.u)
}

// caution says what keeps the check from counting as it stands.
func (m *checkMaker) caution() *Section {
	s := &Section{Title: m.say("sheet.warnings")}
	if v := m.c.Voided; v != nil {
		s.Notes = append(s.Notes, m.say("sheet.check.voided", v.By, m.w.Moment(v.Time), v.Reason))
	}
	if m.c.Zero {
		s.Notes = append(s.Notes, m.say("sheet.check.zero"))
	}
	if !m.c.Partial.IsZero() {
		s.Notes = append(s.Notes, m.w.Tell(m.c.Partial))
	}
	return s
}

// points are the errors of a result, one in a row.
func (m *checkMaker) points(title string, r check.Result) *Section {
	t := &Table{Head: m.heads("master", "n", "mean", "reference", "error.found", "u", "k", "limit", "inside", "verdict"), Shares: []float64{3.4, 1.2, 2.6, 2.6, 2.1, 2.1, 1.3, 2, 2.3, 2.4}}
	s := &Section{Title: title, Table: t}
	for _, p := range r.Points {
		t.Rows = append(t.Rows, Row{Cells: m.point(p, r.Limit)})
		for _, note := range m.notes(p) {
			s.Notes = append(s.Notes, m.pointName(p)+": "+note)
		}
	}
	if len(r.Points) == 0 {
		s.Notes = append(s.Notes, m.say("sheet.check.no-points"))
	}
	if r.Hysteresis != nil {
		s.Notes = append(s.Notes, m.say("sheet.check.hysteresis", m.value(r.Hysteresis, m.errors())))
	}
	return s
}

func (m *checkMaker) point(p check.PointResult, limit *gauge.Length) []string {
	u := m.errors()
	row := []string{m.pointName(p), fmt.Sprint(p.Repeats), m.value(&p.Mean, m.u), m.value(&p.Reference, m.u), "-", "-", "-", "-", m.percent(p.Within), "-"}
	if p.Repeats == 0 {
		row[1] = "-"
	}
	if limit != nil {
		least := -*limit
		defer m.beside(procedure.Limits{Min: &least, Max: limit}, u, &p.Error)()
		row[7] = "± " + m.value(limit, u)
	}
	row[4] = m.value(&p.Error, u)
	if p.Error > 0 {
		row[4] = "+" + row[4]
	}
	if p.Standard > 0 {
		row[5], row[6] = m.uncertain(p.Expanded(), u), m.w.Number(fmt.Sprintf("%.2f", p.Coverage()))
	}
	if p.Verdict != "" {
		row[9] = m.verdict(p.Verdict)
	}
	return row
}

func (m *checkMaker) pointName(p check.PointResult) string {
	if p.Falling {
		return p.Master + ", " + m.say("check.falling")
	}
	return p.Master
}

// notes are what is to be known of a point besides.
func (m *checkMaker) notes(p check.PointResult) (notes []string) {
	if p.ScatterUnknown && p.Verdict != check.Unlimited {
		notes = append(notes, m.say("check.scatter"))
	}
	if p.ScatterLarger {
		notes = append(notes, m.say("check.larger"))
	}
	if p.Unstated != nil {
		notes = append(notes, m.say("check.unstated", m.value(p.Unstated, m.errors())))
	}
	if p.Uncorrected != nil {
		notes = append(notes, m.say("check.uncorrected", m.value(p.Uncorrected, m.errors())))
	}
	return notes
}

// notAdjusted says that the gauge is as it was found, and what the next check said.
func (m *checkMaker) notAdjusted() *Section {
	s := &Section{Title: m.say("check.left"), Notes: []string{m.say("sheet.check.not-adjusted")}}
	if n := m.in.Next; n != nil {
		s.Notes = append(s.Notes, m.say("sheet.check.next", n.Seq, m.w.Moment(n.Time), n.By, m.verdict(n.After().Verdict)))
	}
	return s
}

// masters are the known values, each with its certificate.
func (m *checkMaker) masters() *Section {
	t := &Table{Head: m.heads("master", "value", "u", "k", "certificate", "laboratory", "calibrated", "due"), Shares: []float64{4, 2.5, 2, 1.2, 2.6, 2.8, 2, 2}}
	s := &Section{Title: m.say("check.masters"), Table: t}
	seen := map[string]bool{}
	for _, p := range slices.Concat(m.c.Points, m.c.PointsLeft) {
		if !seen[p.Master.ID] {
			seen[p.Master.ID] = true
			t.Rows = append(t.Rows, Row{Cells: m.master(p.Master)})
		}
	}
	if len(t.Rows) > 0 {
		s.Notes = append(s.Notes, m.say("sheet.check.masters"))
	}
	t.dropEmpty()
	return s
}

func (m *checkMaker) master(one check.Master) []string {
	title := one.Title
	if one.ID == check.ZeroMaster {
		title = m.say("check.zero") // the station's own, not a text of the shop
	}
	row := []string{joined(", ", one.ID, title), m.exact(one.Value), "-", "-", "-", "-", "-", "-"}
	if one.Serial != "" {
		row[0] += ", " + m.say("sheet.serial") + " " + one.Serial
	}
	if c := one.Certified; c != nil {
		row[2], row[3] = m.uncertain(c.Uncertainty, m.errors()), m.w.Number(c.K.TextIn(gauge.One))
	}
	if c := one.Certificate; c != nil {
		row[4], row[5] = cmp.Or(c.Number, "-"), cmp.Or(c.Laboratory, "-")
		if !c.Date.IsZero() {
			row[6] = m.w.Date(c.Date)
		}
	}
	if !one.Due.IsZero() {
		row[7] = m.w.Date(one.Due)
	}
	return row
}

func (m *checkMaker) rule() *Section {
	s := &Section{Title: m.say("sheet.rule"), Notes: []string{m.say("sheet.check.error")}}
	if m.c.Result.Limit != nil {
		s.Notes = append(s.Notes, m.say("sheet.check.rule"))
	}
	return s
}

// readings are those of each point, with their numbers in the history.
func (m *checkMaker) readings() *Section {
	t := &Table{Head: m.heads("when", "master", "readings", "numbers"), Shares: []float64{3, 3, 9, 3}}
	for _, group := range []struct {
		title  string
		points []check.StoredPoint
	}{{m.say("sheet.check.found"), m.c.Points}, {m.say("check.left"), m.c.PointsLeft}} {
		for _, p := range group.points {
			var shown, numbers []string
			for _, l := range p.Readings {
				shown = append(shown, m.exact(l))
			}
			for _, seq := range p.Seqs {
				numbers = append(numbers, fmt.Sprint(seq))
			}
			name := m.pointName(check.PointResult{Master: p.Master.ID, Falling: p.Falling})
			t.Rows = append(t.Rows, Row{Cells: []string{group.title, name, strings.Join(shown, "; "), strings.Join(numbers, ", ")}})
		}
	}
	return &Section{Title: m.say("sheet.readings"), Table: t}
}
