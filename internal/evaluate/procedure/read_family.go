package procedure

import (
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// maxGrades bounds a part family.
const maxGrades = 2000

// ReadFamily reads a part family file. name is used in problems only. The
// error lists every problem with its place, holes and overlaps included.
func ReadFamily(name string, content []byte) (*Family, error) {
	return readFamily(name, content, false)
}

// ReadStoredFamily reads a version that was in force once, which may have words of
// earlier versions.
func ReadStoredFamily(name string, content []byte) (*Family, error) {
	return readFamily(name, content, true)
}

func readFamily(name string, content []byte, stored bool) (*Family, error) {
	doc := shopfile.Parse(name, content)
	doc.Renew(oldInFamily, stored)
	m := doc.Root().Map()
	doc.SecondColumn(m.Get("second_column"))
	f := &Family{Hash: gauge.HashContent(content)}
	f.ID = m.Need("family").Word()
	f.Title = m.Need("title").Text()
	f.Source = m.Get("source").Text()
	f.Unit = m.Need("unit").AnyUnit()
	r := &familyReader{f: f, parts: shopfile.Names{}, marks: shopfile.Names{}, byCode: m.Get("by_marks").Given() || m.Get("chart").Given()}
	if step := m.Get("row_step"); step.Given() {
		f.RowStep = r.positive(step)
	}
	border := m.Get("border")
	if border.Given() {
		f.BorderUpper = border.OneOf("lower row", "upper row") == "upper row"
		r.borderStated = true
	}
	if holes := m.Get("holes"); holes.Given() {
		r.holesAccepted = holes.OneOf("accepted") != ""
	}
	if series := m.Get("series"); series.Given() {
		m.Get("grades").Wrong(gauge.Say("entry.grades-and-series"))
		r.series(series)
	} else {
		r.grades(m.Need("grades"))
		r.farOff(m.Get("grades"), m.Get("steps").Text() == "uneven")
		r.unevenSteps(m.Get("grades"), m.Get("steps"))
	}
	r.codes(m.Get("by_marks"))
	r.chart(m.Get("chart"))
	m.Done()
	if err := doc.Err(); err != nil {
		return nil, err
	}
	return f, nil
}

// familyReader compares each row with those before it.
type familyReader struct {
	f             *Family
	borderStated  bool
	holesAccepted bool // as the table is printed
	byCode        bool // marks choose, so grades need neither thickness nor rows
	parts, marks  shopfile.Names
	last          shopfile.Value // the row before
}

func (r *familyReader) positive(v shopfile.Value) gauge.Length {
	l, ok := v.TryLength(r.f.Unit)
	if ok && l <= 0 {
		v.Wrong(gauge.Say("entry.not-above-zero", gauge.Shown("value", Shortest(l, r.f.Unit), gauge.UnitUnknown)))
	}
	return l
}

func (r *familyReader) grades(v shopfile.Value) {
	rows := v.List()
	if v.IsList() && len(rows) == 0 {
		v.Wrong(gauge.Say("entry.grades-none"))
	}
	if len(rows) > maxGrades {
		v.Wrong(gauge.Say("entry.grades-many", gauge.Count("grades", len(rows)), gauge.Count("most", maxGrades)))
		return
	}
	for _, row := range rows {
		r.grade(row)
	}
}

func (r *familyReader) grade(row shopfile.Value) {
	m := row.Map()
	var g Grade
	g.Part = unique(r.parts, m.Need("part"), "entry.grade.part-number")
	if mark := m.Get("mark"); mark.Given() {
		g.Mark = unique(r.marks, mark, "entry.grade.marking")
	}
	thickness, serves := m.Get("thickness"), m.Get("serves")
	if thickness.Given() && r.f.Unit.Known() && r.f.Unit.Kind() != gauge.KindLength {
		thickness.Wrong(gauge.Say("entry.grade-no-length", gauge.Text("unit", r.f.Unit.String())))
	}
	if !thickness.Given() && !serves.Given() && row.IsMap() && !r.byCode {
		row.Wrong(gauge.Say("entry.grade-empty"))
	}
	r.thickness(&g, thickness)
	if r.f.Unit.Known() && r.f.Unit.Kind() == gauge.KindLength && g.Part == NoPart && !thickness.Given() {
		g.Thickness = NoGrade().Thickness
	}
	if g.Part == AsItIs && (thickness.Given() || m.Get("stock").Given() || !serves.Given() && !r.byCode) {
		row.Wrong(gauge.Say("entry.grade-as-it-is", gauge.Text("part", AsItIs)))
	}
	r.tolerance(&g, m)
	g.Serves = readLimits(serves, r.f.Unit)
	if stock := m.Get("stock"); stock.Given() {
		n := stock.Int(0, 1_000_000)
		g.Stock = &n
	}
	m.Done()
	r.follow(g, thickness, serves)
	r.f.Grades = append(r.f.Grades, g)
	r.last = row
}

// unique reads a part number or a marking.
func unique(names shopfile.Names, name shopfile.Value, what string) string {
	text := name.Text()
	if text == "" {
		name.Wrong(gauge.Say("entry.grade-name-empty", gauge.Word("what", what)))
		return ""
	}
	names.Take(name, func(at gauge.Arg) gauge.Message {
		return gauge.Say("entry.grade-name-taken", gauge.Word("what", what), name.As("name"), at)
	})
	return text
}

// thickness reads one nominal thickness, or a range whose middle is nominal.
func (r *familyReader) thickness(g *Grade, v shopfile.Value) {
	if !v.Given() {
		return
	}
	if !v.IsMap() || v.Map().Get(r.f.Unit.String()).Given() {
		t := r.positive(v)
		g.Thickness = &t
		return
	}
	m := v.Map()
	low, high := r.positive(m.Need("min")), r.positive(m.Need("max"))
	m.Done()
	if low <= 0 || high <= 0 {
		return // reported already
	}
	if low > high {
		v.Wrong(gauge.Say("entry.limits-crossed", m.Get("min").As("min"), m.Get("max").As("max")))
		return
	}
	middle := gauge.Mean(low, high)
	half := high - middle
	g.Thickness = &middle
	if half > 0 {
		g.Tolerance = &half
	}
}

// follow checks a row against the row before: rising order, and for a table by
// the gap neither hole nor overlap.
func (r *familyReader) follow(g Grade, thickness, serves shopfile.Value) {
	if len(r.f.Grades) == 0 {
		return
	}
	before := r.f.Grades[len(r.f.Grades)-1]
	if g.Serves.Limited() != before.Serves.Limited() {
		r.last.Wrong(gauge.Say("entry.rows-serve"))
		return
	}
	if !g.Serves.Limited() {
		r.steps(before, g, thickness)
		return
	}
	if g.Serves.Equal(before.Serves) {
		return // another part for the same gaps
	}
	r.neighbours(before.Serves.Max, g.Serves.Min, serves)
}

// steps checks the step between two thicknesses.
func (r *familyReader) steps(before, g Grade, at shopfile.Value) {
	if g.Thickness == nil || before.Thickness == nil || *g.Thickness <= 0 || *before.Thickness <= 0 {
		return // there is none, or what stands there is reported already
	}
	u := r.f.Unit
	step := *g.Thickness - *before.Thickness
	if apart(*before.Thickness, *g.Thickness) && step < 0 {
		return // farOff says which of them it is
	}
	if step <= 0 {
		at.Wrong(gauge.Say("entry.grade-order", shortest("thickness", *g.Thickness, u), shortest("before", *before.Thickness, u)))
		return
	}
	for _, tolerance := range []*gauge.Length{before.widest(), g.widest()} {
		if tolerance != nil && *tolerance > step {
			at.Wrong(gauge.Say("entry.grade-tolerance", shortest("tolerance", *tolerance, u), shortest("step", step, u)))
			return
		}
	}
}

func (r *familyReader) neighbours(end, begin *gauge.Length, at shopfile.Value) {
	u := r.f.Unit
	if end == nil || begin == nil {
		at.Wrong(gauge.Say("entry.row-open"))
		return
	}
	switch distance := *begin - *end; {
	case distance < 0:
		at.Wrong(gauge.Say("entry.rows-overlap", gauge.Shown("from", Shortest(*begin, u), gauge.UnitUnknown), shortest("to", *end, u)))
	case distance == 0 && !r.borderStated:
		at.Wrong(gauge.Say("entry.rows-border", shortest("gap", *begin, u)))
	case distance > 0 && distance != r.f.RowStep && !r.holesAccepted:
		at.Wrong(gauge.Say("entry.rows-hole", gauge.Shown("from", Shortest(*end, u), gauge.UnitUnknown), shortest("to", *begin, u)))
	}
}

// Shortest writes a length with as few decimals as it needs.
func Shortest(l gauge.Length, u gauge.Unit) string { return l.Text(u, decimalsOf(l, u)) }

// shortest is a length as an argument of a message, written so.
func shortest(name string, l gauge.Length, u gauge.Unit) gauge.Arg {
	return gauge.Shown(name, Shortest(l, u), u)
}

// decimalsOf is how many decimals a length needs, at most 9.
func decimalsOf(l gauge.Length, u gauge.Unit) int {
	return l.Decimals(u, 0, 9)
}

// IsFamily reports whether the content is a part family file of that id,
// whatever else is wrong with it.
func IsFamily(content []byte, id string) bool {
	root := shopfile.Parse("", content).Root()
	return root.IsMap() && root.Map().Get("family").Text() == id
}
