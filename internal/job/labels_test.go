package job

import (
	"errors"
	"maps"
	"slices"
	"strings"
	"testing"

	"gauged/internal/gauge"
)

// TestLabelsWith: labels are added, put right and taken away, and what cannot be one is refused.
func TestLabelsWith(t *testing.T) {
	many := Labels{}
	for c := 'a'; len(many) < mostLabels; c++ {
		many[string(c)] = "x"
	}
	had := Labels{"order": "A-1042", "bay": "3"}
	for what, c := range map[string]struct {
		before, changes, want Labels
		code                  string
	}{
		"one more":          {had, Labels{"customer": " Miller \t"}, Labels{"order": "A-1042", "bay": "3", "customer": "Miller"}, ""},
		"put right":         {had, Labels{"order": "A-1043"}, Labels{"order": "A-1043", "bay": "3"}, ""},
		"taken away":        {had, Labels{"order": " "}, Labels{"bay": "3"}, ""},
		"of none":           {nil, Labels{"order": "=1+1"}, Labels{"order": "=1+1"}, ""},
		"nothing":           {nil, nil, Labels{}, ""},
		"all kinds of name": {nil, Labels{"a-b_9": "1"}, Labels{"a-b_9": "1"}, ""},
		"longest name":      {nil, Labels{strings.Repeat("n", 40): "1"}, Labels{strings.Repeat("n", 40): "1"}, ""},
		"most":              {many, Labels{"a": "y"}, nil, ""},
		"no name":           {had, Labels{"": "x"}, nil, "refusal.label.name"},
		"another case":      {had, Labels{"Order": "x"}, nil, "refusal.label.name"},
		"a blank in a name": {had, Labels{"or der": "x"}, nil, "refusal.label.name"},
		"not of ASCII":      {had, Labels{"größe": "x"}, nil, "refusal.label.name"},
		"too long a name":   {had, Labels{strings.Repeat("n", 41): "x"}, nil, "refusal.label.name"},
		"nothing there":     {had, Labels{"customer": ""}, nil, "refusal.label.empty"},
		"one too many":      {many, Labels{"z": "x"}, nil, "refusal.label.many"},
		"too long":          {had, Labels{"order": strings.Repeat("x", gauge.LongestText+1)}, nil, "refusal.request.too-long"},
		"two lines":         {had, Labels{"order": "A\nB"}, nil, "refusal.request.control"},
	} {
		after, err := c.before.With(c.changes)
		switch {
		case c.code != "":
			if !errors.Is(err, gauge.ErrInput) || gauge.Told(err).Code != c.code {
				t.Errorf("%s: %v, want %s", what, err, c.code)
			}
		case err != nil || c.want != nil && !maps.Equal(after, c.want):
			t.Errorf("%s: %v, %v", what, after, err)
		}
	}
	if !maps.Equal(had, Labels{"order": "A-1042", "bay": "3"}) {
		t.Errorf("the labels of before are others: %v", had)
	}
}

// TestLabelsAsked: texts are compared as serial numbers are, names as they are, and all that
// is asked for must be there.
func TestLabelsAsked(t *testing.T) {
	have := Labels{"order": "A-1042", "customer": "Miller"}
	for want, asked := range map[bool][]map[string]string{
		true:  {nil, {"order": "a 1042"}, {"order": "A\u20111042", "customer": "MILLER"}},
		false: {{"order": "A-1043"}, {"order": "A-1042", "customer": "Moller"}, {"bay": ""}, {"customer": "A-1042"}},
	} {
		for _, labels := range asked {
			if have.Has(labels) != want {
				t.Errorf("%v are there: %t", labels, !want)
			}
		}
	}
	if names := (Labels{"bay": "", "customer": "", "order": "", "z": ""}).Names(); !slices.Equal(names, []string{"order", "customer", "bay", "z"}) {
		t.Errorf("they are told as %v", names)
	}
	changed := LabelledData{Labels: Labels{"order": "2", "bay": "3", "z": "1"}, Before: Labels{"order": "1", "bay": "3", "customer": "M"}}.Changed()
	if !slices.Equal(changed, []string{"order", "customer", "z"}) {
		t.Errorf("%v are others", changed)
	}
}

// TestPossibleLabels: who looks for a label that no job can have is told so, in the words of
// one that is set.
func TestPossibleLabels(t *testing.T) {
	for _, name := range []string{"", "Order", "or der", "größe", strings.Repeat("n", 41)} {
		_, set := Labels{}.With(Labels{name: "x"})
		sought := Labels{"order": "A", name: "x"}.Possible()
		if set == nil || sought == nil || gauge.Told(sought).Code != gauge.Told(set).Code || !errors.Is(sought, gauge.ErrInput) {
			t.Errorf("%q: %v, where setting it says %v", name, sought, set)
		}
	}
	if err := (Labels{"order": "A", "bay-3_x": ""}).Possible(); err != nil {
		t.Error(err)
	}
}
