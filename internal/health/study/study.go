package study

import (
	"encoding/json"
	"fmt"
	"math"

	"gauged/internal/gauge"
)

// Study is the result of any kind of study: one of the pointers is set.
type Study struct {
	Kind Kind
	Data *Data // what it was made of; nil in a study that was read back

	Variation  *Variation // crossed, and nested with appraisers
	Levels     *Levels    // nested over days and runs
	OneWay     *OneWayResult
	Bias       *BiasResult
	Linearity  *LinearityResult
	Stability  *StabilityResult
	Capability *CapabilityResult
}

// Figures is the result that is set, for json.Marshal; ReadResult reads back what
// that writes, which has neither the kind of the study nor its data.
func (s *Study) Figures() any {
	switch {
	case s.Variation != nil:
		return s.Variation
	case s.Levels != nil:
		return s.Levels
	case s.OneWay != nil:
		return s.OneWay
	case s.Bias != nil:
		return s.Bias
	case s.Linearity != nil:
		return s.Linearity
	case s.Stability != nil:
		return s.Stability
	}
	return s.Capability
}

// ReadResult reads back the figures of a study of the kind.
func ReadResult(kind Kind, figures []byte) (*Study, error) {
	s := &Study{Kind: kind}
	switch kind {
	case CrossedKind:
		s.Variation = new(Variation)
	case NestedKind:
		var which struct {
			Design string `json:"design"`
		}
		if err := json.Unmarshal(figures, &which); err != nil {
			return nil, fmt.Errorf("reading a study of the kind %s: %w", kind, err)
		}
		if which.Design == "" {
			s.Levels = new(Levels)
		} else {
			s.Variation = new(Variation)
		}
	case OneWayKind:
		s.OneWay = new(OneWayResult)
	case BiasKind:
		s.Bias = new(BiasResult)
	case LinearityKind:
		s.Linearity = new(LinearityResult)
	case StabilityKind:
		s.Stability = new(StabilityResult)
	case CapabilityKind:
		s.Capability = new(CapabilityResult)
	default:
		return nil, gauge.WrongInput("refusal.figures.kind", gauge.Text("given", string(kind)), gauge.Texts("kinds", KindNames()))
	}
	if err := json.Unmarshal(figures, s.Figures()); err != nil {
		return nil, fmt.Errorf("reading a study of the kind %s: %w", kind, err)
	}
	return s, nil
}

// Word is a verdict in one word or two.
type Word string

// The words. A study that ends with figures alone has NoWord.
const (
	NoWord        Word = "no verdict"
	Acceptable    Word = "acceptable"
	Conditional   Word = "conditional" // may be acceptable for the use at hand
	NotAcceptable Word = "not acceptable"
	NoDifference  Word = "no difference found" // of groups
	Different     Word = "groups differ"
	NoBias        Word = "no bias found"
	Biased        Word = "biased"
	Straight      Word = "no change found" // of the error over the range, and no bias
	Sloped        Word = "error changes over the range"
	Stable        Word = "stable"
	NotStable     Word = "not stable"
	Capable       Word = "capable"
	NotCapable    Word = "not capable"
)

// Words lists every word.
var Words = []Word{
	NoWord, Acceptable, Conditional, NotAcceptable, NoDifference, Different, NoBias, Biased,
	Straight, Sloped, Stable, NotStable, Capable, NotCapable,
}

// Headline is what is asked of a study first. A figure that the kind does not
// have, or that was refused, is nil.
type Headline struct {
	Word             Word            `json:"word"`
	PercentStudy     *float64        `json:"percent_study,omitempty"`     // repeatability and reproducibility, of the study's variation
	PercentTolerance *float64        `json:"percent_tolerance,omitempty"` // of the tolerance
	Categories       *int            `json:"categories,omitempty"`        // distinct ones
	Bias             *float64        `json:"bias,omitempty"`              // in the unit of the values
	Cg               *float64        `json:"cg,omitempty"`
	Cgk              *float64        `json:"cgk,omitempty"`
	Verdict          *Verdict        `json:"verdict,omitempty"` // in words, with its rule
	Notes            []gauge.Message `json:"notes,omitempty"`   // what was refused or left out, and why
}

// Headline returns what is asked first.
func (s *Study) Headline() Headline {
	switch {
	case s.Variation != nil:
		return s.Variation.headline()
	case s.Levels != nil:
		return Headline{Word: NoWord, Notes: s.Levels.Notes}
	case s.OneWay != nil:
		r := s.OneWay
		return Headline{Word: either(r.Table[0].F != nil && r.Table[0].F.P < 1-r.Confidence, Different, NoDifference), Notes: r.Notes}
	case s.Bias != nil:
		r := s.Bias
		return Headline{Word: either(r.biased(), Biased, NoBias), Bias: &r.Bias, PercentTolerance: r.OfTolerance, Verdict: &r.Verdict, Notes: r.Notes}
	case s.Linearity != nil:
		r := s.Linearity
		word := Straight
		if r.sloped() {
			word = Sloped
		} else if r.offset() {
			word = Biased
		}
		return Headline{Word: word, PercentTolerance: r.OfTolerance, Verdict: &r.Verdict, Notes: r.Notes}
	case s.Stability != nil:
		r := s.Stability
		return Headline{Word: either(r.stable(), Stable, NotStable), Verdict: &r.Verdict, Notes: r.Notes}
	}
	r := s.Capability
	return Headline{Word: either(r.capable(), Capable, NotCapable), Bias: &r.Bias, Cg: &r.Cg, Cgk: &r.Cgk, Verdict: &r.Verdict, Notes: r.Notes}
}

func either(first bool, a, b Word) Word {
	if first {
		return a
	}
	return b
}

func (v *Variation) headline() Headline {
	h := Headline{Word: NoWord, Verdict: v.Verdict, Notes: v.Notes}
	if !v.NoRanges.IsZero() && v.Design == string(CrossedKind) {
		h.Notes = append(h.Notes[:len(h.Notes):len(h.Notes)], gauge.Say("noted.no_ranges", gauge.Nested("why", v.NoRanges)))
	}
	if v.Verdict == nil {
		return h
	}
	c, ok := v.Component(RepeatAndRepro)
	if !ok {
		return h
	}
	h.PercentStudy, h.PercentTolerance = &c.StudyVariation, c.Tolerance
	percent := c.StudyVariation
	if c.Tolerance != nil {
		percent = *c.Tolerance
	}
	h.Word = grade(percent)
	if v.Distinct != nil {
		n := int(math.Floor(*v.Distinct))
		h.Categories = &n
	}
	return h
}
