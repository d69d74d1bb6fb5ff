package dcc

import (
	"slices"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/words"
)

// results are the check as found, and as left where the gauge was adjusted.
func (b *builder) results() element {
	c := b.Check
	all := el("dcc:measurementResults", b.result("sheet.check.found", "beforeAdjustment", c.Result, c.Points))
	if c.Left != nil {
		all.add(b.result("check.left", "afterAdjustment", *c.Left, c.PointsLeft))
	}
	return all
}

func (b *builder) result(name, status string, r check.Result, points []check.StoredPoint) element {
	if b.Check.Left == nil {
		status = "" // nothing was adjusted
	}
	var lists []element
	for i, p := range r.Points {
		var readings []gauge.Length
		if i < len(points) {
			readings = points[i].Readings
		}
		lists = append(lists, b.point(p, r.Limit, readings))
	}
	method := el("dcc:usedMethod", kind("basic_uncertainty"), b.name("dcc.uncertainty"), el("dcc:description", b.content("sheet.check.error")), el("dcc:norm", "JCGM 100:2008"))
	return el("dcc:measurementResult", b.name(name), el("dcc:description", b.verdict(r.Verdict)),
		el("dcc:usedMethods", method), b.equipment(points), b.conditions(status),
		el("dcc:results", el("dcc:result", b.name(name), el("dcc:data", lists))))
}

func (b *builder) verdict(v check.Verdict) []element { return b.content("check." + words.Key(v)) }

// point is the error at one master with all that belongs to it.
func (b *builder) point(p check.PointResult, limit *gauge.Length, readings []gauge.Length) element {
	name := el("dcc:name", plain(p.Master))
	if p.Falling {
		name = el("dcc:name", b.content("dcc.falling", p.Master))
	}
	list := el("dcc:list", name,
		b.quantity("basic_referenceValue", "dcc.reference", b.length(p.Reference)),
		b.quantity("basic_measuredValue", "study.head.mean", b.length(p.Mean)),
		b.quantity("basic_measurementError", "sheet.head.error.found", b.length(p.Error, expanded(p)), b.judged(p, limit)),
	)
	if len(readings) > 0 {
		texts := make([]string, len(readings))
		for i, l := range readings {
			texts[i] = b.exact(l)
		}
		list.add(b.quantity("", "sheet.readings", el("si:realListXMLList", el("si:valueXMLList", strings.Join(texts, " ")), el("si:unitXMLList", millimetre))))
	}
	return list
}

func (b *builder) quantity(ref, name string, value element, more ...element) element {
	q := el("dcc:quantity", b.name(name), value, more)
	if ref != "" {
		q.Attributes = append(q.Attributes, kind(ref))
	}
	return q
}

// expanded is the uncertainty of an error; none where nothing is known of it.
func expanded(p check.PointResult) element {
	if !(p.Standard > 0) {
		return element{}
	}
	distribution := "normal"
	if p.Freedom > 0 {
		distribution = "Student's t, " + number(p.Freedom) + " degrees of freedom"
	}
	return el("si:expandedUnc", el("si:uncertainty", exact(p.Expanded())), el("si:coverageFactor", number(p.Coverage())),
		el("si:coverageProbability", "0.95"), el("si:distribution", distribution))
}

func number(x float64) string { return strconv.FormatFloat(x, 'f', -1, 64) }

// judged is the verdict of a point with the limits and the probability that it follows from.
func (b *builder) judged(p check.PointResult, limit *gauge.Length) element {
	if limit == nil || p.Verdict == "" {
		return element{}
	}
	conformity := map[check.Verdict]string{check.Pass: "pass", check.Fail: "fail"}[p.Verdict]
	data := el("dcc:data", b.quantity("", "dcc.lower", b.length(-*limit)), b.quantity("", "dcc.upper", b.length(*limit)))
	if p.Within != nil {
		data.add(b.quantity("", "sheet.head.inside", amount(number(p.Within.Float()), `\one`)))
	}
	said := b.verdict(p.Verdict)
	if p.ScatterUnknown {
		said = append(said, b.content("check.scatter")...)
	}
	return el("dcc:measurementMetaData", el("dcc:metaData", kind("basic_conformity"), el("dcc:declaration", said), given("dcc:conformity", conformity), data))
}

// equipment are the masters, each once.
func (b *builder) equipment(points []check.StoredPoint) element {
	var all []element
	var seen []string
	for _, p := range points {
		if m := p.Master; m.ID != check.ZeroMaster && !slices.Contains(seen, m.ID) {
			seen = append(seen, m.ID)
			all = append(all, b.master(m))
		}
	}
	if all == nil {
		return element{}
	}
	return el("dcc:measuringEquipments", all)
}

// master is a known value. The schema wants the hash of a certificate that it refers to,
// which is not known: number, laboratory and day stand as text. So does its uncertainty,
// whose probability is not known.
func (b *builder) master(m check.Master) element {
	e := el("dcc:measuringEquipment", kind("basic_normalUsed"), el("dcc:name", plain(strings.TrimSuffix(m.ID+", "+m.Title, ", "))))
	var about []element
	if c := m.Certificate; c != nil {
		about = append(about, b.content("dcc.certificate", dash(c.Number), dash(c.Laboratory), c.Date)...)
	}
	if c := m.Certified; c != nil {
		about = append(about, b.content("dcc.certified", decimal(exact(c.Uncertainty)), decimal(digits(c.K, gauge.One)))...)
	}
	if about != nil {
		e.add(el("dcc:description", about))
	}
	ids := el("dcc:identifications", identification("owner", m.ID, element{}))
	if m.Serial != "" {
		ids.add(identification("manufacturer", m.Serial, b.name("sheet.serial")))
	}
	e.add(ids, el("dcc:measuringEquipmentQuantities", el("dcc:measuringEquipmentQuantity", b.name("dcc.at-20"), b.length(m.Value))))
	return e
}

func dash(text string) string {
	if text == "" {
		return "-"
	}
	return text
}

// conditions are the temperature, where it was measured.
func (b *builder) conditions(status string) element {
	t := b.Check.Temperature
	if t == nil {
		return element{}
	}
	var about element
	if t.Tolerance != 0 {
		about = el("dcc:description", b.content("dcc.tolerance", decimal(digits(t.Tolerance, gauge.Kelvin))))
	}
	at := b.quantity("basic_temperature", "sheet.check.temperature", amount(digits(t.Above+20*gauge.Length(1e9), gauge.DegreeCelsius), `\degreecelsius`))
	return el("dcc:influenceConditions", el("dcc:influenceCondition", kind("basic_temperature"), b.name("sheet.check.temperature"), about, given("dcc:status", status), el("dcc:data", at)))
}
