package recall

import (
	"cmp"
	"math"
	"slices"
	"sort"

	"gauged/internal/gauge"
)

// Point is the error of a gauge at one master.
type Point struct {
	Name  string       // of the master; may be empty
	At    gauge.Length // what the gauge showed there
	Error gauge.Length // shown less true
	// Standard uncertainties of Error, in metres: the part that this point has for
	// itself, and the part that all points share, such as that of a set of masters.
	Own, Shared float64
}

// Standard is the standard uncertainty of the error, rounded to a picometre.
func (p Point) Standard() gauge.Length {
	return gauge.Length(math.RoundToEven(math.Hypot(p.Own, p.Shared) * picometres))
}

// Curve is the error of a gauge over what it shows. Between two neighbouring points
// it is the straight line. What lies between them is not known; it is taken to be off
// that line by at most half the difference of the two errors in the middle, evenly
// either way, and by less towards the points: 2 f (1 - f) of the difference at the
// part f of the way. Beyond the outermost points nothing is extrapolated: there the
// error is that of the nearest point, with the largest difference of any two errors
// either way, evenly. Common practice, no source. A single point holds everywhere. What is
// unknown between or beyond points may have either sign at each place: where readings are
// added it adds up, in a difference of two places it does not cancel.
type Curve struct {
	points []Point // by At
	spread gauge.Length
	says   []gauge.Message // of the parts of its uncertainty
}

// Off is the error of a gauge at a reading.
type Off struct {
	Error  gauge.Length
	Beyond bool // the reading lies beyond the points

	parts [4]Part // of its uncertainty; what is independent has parts of its own
	many  int
}

// Part is one part of an uncertainty: readings that share it have the same number, and
// the same place where it is unknown from place to place.
type Part struct {
	Number int
	Sigma  float64 // standard uncertainty in picometres; may be negative in a difference

	Unknown bool         // it is what lies between or beyond points, evenly either way
	Place   gauge.Length // of what is unknown: where the gauge was read
}

// NewCurve returns the curve through points in any order. Of several points at one
// reading, such as from both sides, the mean counts, and half their difference evenly
// either way.
func NewCurve(points []Point) (Curve, error) {
	if len(points) == 0 {
		return Curve{}, noPoints()
	}
	for i, p := range points {
		switch {
		case !within(p.At) || !within(p.Error):
			return Curve{}, atPoint(i, tooLarge())
		case checkSigma(p.Own) != nil || checkSigma(p.Shared) != nil:
			return Curve{}, atPoint(i, checkSigma(math.NaN()))
		}
	}
	sorted := slices.SortedStableFunc(slices.Values(points), func(a, b Point) int { return cmp.Compare(a.At, b.At) })
	var c Curve
	for at := 0; at < len(sorted); {
		end := at + 1
		for end < len(sorted) && sorted[end].At == sorted[at].At {
			end++
		}
		c.points = append(c.points, together(sorted[at:end]))
		at = end
	}
	low, high := c.points[0].Error, c.points[0].Error
	for _, p := range c.points {
		low, high = min(low, p.Error), max(high, p.Error)
	}
	c.spread = high - low
	c.says = c.parts()
	return c, nil
}

// together is the points at one reading as one.
func together(points []Point) Point {
	p := points[0]
	var errors []gauge.Length
	low, high := p.Error, p.Error
	for _, q := range points {
		errors = append(errors, q.Error)
		low, high = min(low, q.Error), max(high, q.Error)
		p.Own, p.Shared = max(p.Own, q.Own), max(p.Shared, q.Shared)
	}
	p.Error = gauge.Mean(errors...)
	p.Own = math.Hypot(p.Own, (high-low).Metres()/2/math.Sqrt(3))
	return p
}

// Flat is an error that is the same everywhere; sigma is in metres.
func Flat(off gauge.Length, sigma float64) (Curve, error) {
	return NewCurve([]Point{{Error: off, Own: sigma}})
}

// Points are those of the curve by their readings.
func (c Curve) Points() []Point { return slices.Clone(c.points) }

// Largest is the point with the largest error.
func (c Curve) Largest() Point {
	return slices.MaxFunc(c.points, func(a, b Point) int { return cmp.Compare(a.Error.Abs(), b.Error.Abs()) })
}

// The numbers of the parts of n points: shared, n points, n - 1 gaps between them,
// and what lies below and above all of them.
const shared = 0

func (c Curve) own(i int) int     { return 1 + i }
func (c Curve) between(i int) int { return len(c.points) + 1 + i }
func (c Curve) below() int        { return 2 * len(c.points) }
func (c Curve) above() int        { return 2*len(c.points) + 1 }

// Parts says how the parts are called, by their numbers.
func (c Curve) Parts() []gauge.Message { return c.says }

func (c Curve) parts() []gauge.Message {
	point := func(name string, i int) gauge.Arg {
		if master := c.points[i].Name; master != "" {
			return gauge.Text(name, master)
		}
		return gauge.Nested(name, gauge.Say("taken_off.point", gauge.Count("number", i+1)))
	}
	last := len(c.points) - 1
	says := make([]gauge.Message, c.above()+1)
	says[shared] = gauge.Say("taken_off.all")
	for i := range c.points {
		says[c.own(i)] = gauge.Say("taken_off.at", point("point", i))
		if i > 0 {
			says[c.between(i-1)] = gauge.Say("taken_off.between", point("low", i-1), point("high", i))
		}
	}
	if last == 0 {
		says[c.own(0)] = gauge.Say("contribution.taken_off")
	}
	says[c.below()], says[c.above()] = gauge.Say("taken_off.below", point("point", 0)), gauge.Say("taken_off.above", point("point", last))
	return says
}

// At is the error where the gauge shows so much, rounded once to a picometre, half to
// even.
func (c Curve) At(shown gauge.Length) Off {
	last := len(c.points) - 1
	next := sort.Search(len(c.points), func(i int) bool { return c.points[i].At > shown })
	switch {
	case last == 0:
		return c.alone(0)
	case next == 0:
		return c.beyond(0, c.below(), shown)
	case next > last:
		return c.beyond(last, c.above(), shown)
	}
	a, b := c.points[next-1], c.points[next]
	way, whole := shown-a.At, b.At-a.At
	f := float64(way) / float64(whole)
	off := Off{Error: a.Error + Share(b.Error-a.Error, int64(way), int64(whole))}
	off.add(shared, (1-f)*a.Shared+f*b.Shared)
	off.add(c.own(next-1), (1-f)*a.Own)
	off.add(c.own(next), f*b.Own)
	off.unknown(c.between(next-1), 2*f*(1-f)*(b.Error-a.Error).Abs().Metres()/math.Sqrt(3), shown)
	return off
}

func (c Curve) alone(i int) Off {
	off := Off{Error: c.points[i].Error}
	off.add(shared, c.points[i].Shared)
	off.add(c.own(i), c.points[i].Own)
	return off
}

func (c Curve) beyond(i, part int, shown gauge.Length) Off {
	off := c.alone(i)
	if shown != c.points[i].At {
		off.Beyond = true
		off.unknown(part, c.spread.Metres()/math.Sqrt(3), shown)
	}
	return off
}

// add puts in a part in metres.
func (o *Off) add(number int, sigma float64) {
	if sigma != 0 {
		o.parts[o.many] = Part{Number: number, Sigma: sigma * picometres}
		o.many++
	}
}

// unknown puts in a part in metres that may have either sign at each place.
func (o *Off) unknown(number int, sigma float64, place gauge.Length) {
	if o.add(number, sigma); sigma != 0 {
		o.parts[o.many-1].Unknown, o.parts[o.many-1].Place = true, place
	}
}

// AddTo adds the parts of the uncertainty, times a coefficient, to a sum of parts.
func (o *Off) AddTo(sum []Part, coefficient float64) []Part {
	return Add(sum, o.parts[:o.many], coefficient)
}

// Add adds parts, times a coefficient, to a sum of parts.
func Add(sum, parts []Part, coefficient float64) []Part {
	for _, p := range parts {
		i := slices.IndexFunc(sum, func(s Part) bool { return s.Number == p.Number && s.Place == p.Place })
		if i < 0 {
			i = len(sum)
			sum = append(sum, Part{Number: p.Number, Unknown: p.Unknown, Place: p.Place})
		}
		sum[i].Sigma += coefficient * p.Sigma
	}
	return sum
}

// Apart makes the parts of a sum independent of each other: those of one unknown that add
// up are one, and those that are taken away are another one. At one and the same place they
// have cancelled already.
func Apart(parts []Part) (apart []Part) {
	for _, p := range parts {
		i := slices.IndexFunc(apart, func(a Part) bool { return p.Unknown && a.Number == p.Number && (a.Sigma < 0) == (p.Sigma < 0) })
		switch {
		case p.Sigma == 0:
		case i < 0:
			apart = append(apart, p)
		default:
			apart[i].Sigma += p.Sigma
		}
	}
	return apart
}

// Sigma is the standard uncertainty of independent parts together.
func Sigma(parts []Part) float64 {
	squares := 0.0
	for _, p := range parts {
		squares += p.Sigma * p.Sigma
	}
	return math.Sqrt(squares)
}
