package bench

import (
	"fmt"
	"io"
	"slices"
	"time"

	"gauged/internal/cli/show"
	"gauged/internal/evaluate/capture"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// motion is what a capture finds in a stream. Values are decimal numbers in the unit.
type motion struct {
	Kind      string        `json:"kind"`
	Unit      string        `json:"unit"`
	Readings  int           `json:"readings"`
	RestCount int           `json:"rest_readings"` // a rest is so many readings
	RestBand  string        `json:"rest_within"`   // so near to each other
	RestQuiet time.Duration `json:"-"`             // for so long
	RestMS    int64         `json:"rest_ms"`       // RestQuiet
	Turn      *foundTurn    `json:"turn,omitempty"`
	Rest      *foundAt      `json:"rest,omitempty"` // nil: none was found
	Strokes   []foundStroke `json:"strokes,omitempty"`
	Faults    []foundFault  `json:"faults,omitempty"`
	Play      string        `json:"play,omitempty"`   // mean of the strokes; empty: there is none
	Differ    string        `json:"differ,omitempty"` // the strokes, by so much
}

type foundAt struct {
	TimeMS int64  `json:"time_ms"`
	Value  string `json:"value"`
}

type foundTurn struct {
	Smallest string `json:"smallest"`
	Largest  string `json:"largest"`
	Runout   string `json:"runout"`
	First    string `json:"first"`
	Last     string `json:"last"`
	Pauses   int    `json:"pauses"` // of the gauge: an extreme may have passed meanwhile
}

type foundStroke struct {
	From string `json:"from"`
	To   string `json:"to"`
	Play string `json:"play"`
}

type foundFault struct {
	foundAt
	Reason string `json:"reason"`
	By     string `json:"by,omitempty"`
}

// find looks for what a capture of a kind would take.
func (s *stream) find(kind procedure.MovingKind, strokes int) *motion {
	resolution := s.unit.Size()
	for range s.decimals {
		resolution /= 10
	}
	c := capture.Config{Strokes: strokes}.With(resolution)
	m := &motion{
		Kind: string(kind), Unit: s.unit.String(), Readings: len(s.readings),
		RestCount: c.Count, RestBand: s.text(c.Band), RestQuiet: c.Quiet, RestMS: c.Quiet.Milliseconds(),
	}
	switch kind {
	case procedure.MovingTurn:
		m.Turn = s.turn(c)
	case procedure.MovingStable:
		m.Rest = s.rest(c)
	default:
		s.stops(c, m)
	}
	return m
}

func (s *stream) text(l gauge.Length) string { return l.Text(s.unit, s.decimals) }

func (s *stream) at(x capture.Reading) foundAt {
	return foundAt{x.Time.Milliseconds(), s.text(x.Value)}
}

func (s *stream) turn(c capture.Config) *foundTurn {
	turn := capture.NewTurn(c)
	for _, x := range s.readings {
		turn.Step(x)
	}
	return &foundTurn{
		Smallest: s.text(turn.Smallest.Value), Largest: s.text(turn.Largest.Value), Runout: s.text(turn.Largest.Value - turn.Smallest.Value),
		First: s.text(turn.First.Value), Last: s.text(turn.Last.Value), Pauses: turn.Gaps(),
	}
}

func (s *stream) rest(c capture.Config) *foundAt {
	stable := capture.NewStable(c)
	for _, x := range s.readings {
		if at, ok := stable.Step(x); ok {
			return &foundAt{x.Time.Milliseconds(), s.text(at.Value)}
		}
	}
	return nil
}

func (s *stream) stops(c capture.Config, m *motion) {
	stops := capture.NewEndStops(c)
	for _, x := range s.readings {
		stops.Step(x)
	}
	found := stops.Found()
	var plays []gauge.Length
	for _, stroke := range found.Strokes {
		plays = append(plays, stroke.Play())
		m.Strokes = append(m.Strokes, foundStroke{s.text(stroke.From.Value), s.text(stroke.To.Value), s.text(stroke.Play())})
	}
	for _, f := range found.Faults {
		one := foundFault{foundAt: s.at(f.At), Reason: fmt.Sprint(f.Reason)}
		if f.By > 0 {
			one.By = s.text(f.By)
		}
		m.Faults = append(m.Faults, one)
	}
	if len(plays) > 0 {
		m.Play, m.Differ = s.text(gauge.Mean(plays...)), s.text(slices.Max(plays)-slices.Min(plays))
	}
}

// render writes what was found for a person.
func (m *motion) render(w io.Writer) {
	fmt.Fprintf(w, "%s; a rest is %d readings within %s for %s.\n", show.Plural(m.Readings, "reading"), m.RestCount, m.in(m.RestBand), m.RestQuiet)
	switch procedure.MovingKind(m.Kind) {
	case procedure.MovingTurn:
		m.renderTurn(w)
	case procedure.MovingStable:
		if m.Rest == nil {
			fmt.Fprintln(w, "No rest was found.")
			return
		}
		fmt.Fprintf(w, "At rest after %s: %s.\n", m.Rest.time(), m.in(m.Rest.Value))
	default:
		m.renderStops(w)
	}
}

func (m *motion) in(value string) string { return value + " " + m.Unit }

func (f foundAt) time() time.Duration { return time.Duration(f.TimeMS) * time.Millisecond }

func (m *motion) renderTurn(w io.Writer) {
	t := m.Turn
	fmt.Fprintf(w, "From %s to %s: runout %s.\n", m.in(t.Smallest), m.in(t.Largest), m.in(t.Runout))
	fmt.Fprintf(w, "It began at %s and ended at %s.\n", m.in(t.First), m.in(t.Last))
	if t.Pauses > 0 {
		fmt.Fprintf(w, "! The gauge paused %s: it may have missed an extreme.\n", show.Plural(t.Pauses, "time"))
	}
}

func (m *motion) renderStops(w io.Writer) {
	for i, stroke := range m.Strokes {
		fmt.Fprintf(w, "  stroke %d: from %s to %s, play %s\n", i+1, m.in(stroke.From), m.in(stroke.To), m.in(stroke.Play))
	}
	for _, f := range m.Faults {
		fmt.Fprintf(w, "  ! at %s, %s: %s%s\n", f.time(), m.in(f.Value), f.Reason, show.Only(f.By != "", ", by "+m.in(f.By)))
	}
	if m.Play == "" {
		fmt.Fprintln(w, "No stroke from stop to stop was found.")
		return
	}
	fmt.Fprintf(w, "End play %s, the mean of %s, which differ by %s.\n", m.in(m.Play), show.Plural(len(m.Strokes), "stroke"), m.in(m.Differ))
}
