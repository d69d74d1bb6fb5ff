package study

import (
	"encoding/json"
	"math"
	"strings"
	"testing"

	"gauged/internal/gauge"
	"gauged/internal/words"
)

// told is several messages in English.
func told(all ...gauge.Message) string { return toldIn(words.English, all) }

func toldIn(l words.Language, all []gauge.Message) string {
	var texts []string
	for _, m := range all {
		text, err := words.In(l).Text(m)
		if err != nil {
			text = err.Error()
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, " ")
}

// toldOf is what an error tells in English; empty for none.
func toldOf(err error) string {
	if err == nil {
		return ""
	}
	return words.In(words.English).Error(err)
}

// TestVerdictsInGerman: verdict, rule and notes of a study have their words in German,
// with a decimal comma, also after they were stored and read back.
func TestVerdictsInGerman(t *testing.T) {
	crossed, err := Crossed(made(t, rows("part,appraiser,value", "1,A,1", "1,A,1.2", "2,A,3", "2,A,3.4", "1,B,1.1", "1,B,1.3", "2,B,3.2", "2,B,3.3"), Part, Appraiser), Options{})
	if err != nil {
		t.Fatal(err)
	}
	bias, err := Bias(made(t, "value,reference\n1.2,1\n1.3,1\n1.25,1\n1.2,1\n,1\n", Value, Reference), 0, Options{})
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range []struct {
		s    *Study
		want []string
	}{
		{&Study{Kind: CrossedKind, Variation: crossed}, []string{"Je nach Verwendung annehmbar: Wiederhol- und Vergleichspräzision nehmen 10,8 % der Streuung der Studie ein", "Wiederhol- und Vergleichspräzision unter 10 % der Streuung: annehmbar"}},
		{&Study{Kind: BiasKind, Bias: bias}, []string{"Das Messmittel hat eine systematische Abweichung (p 0,0022): Sie liegt mit 95 % Vertrauen zwischen", "eine systematische Abweichung liegt vor, wenn", "1 Zeile ohne Wert wurde weggelassen."}},
	} {
		figures, err := json.Marshal(c.s.Figures())
		if err != nil {
			t.Fatal(err)
		}
		back, err := ReadResult(c.s.Kind, figures)
		if err != nil {
			t.Fatal(err)
		}
		for _, s := range []*Study{c.s, back} {
			h := s.Headline()
			text := toldIn(words.German, append([]gauge.Message{h.Verdict.Text, h.Verdict.Rule}, h.Notes...))
			for _, want := range c.want {
				if !strings.Contains(text, want) {
					t.Errorf("%s: %q lacks %q", s.Kind, text, want)
				}
			}
		}
	}
	if got := toldIn(words.German, []gauge.Message{gauge.Say("judged.straight", chanceOf(math.SmallestNonzeroFloat64))}); !strings.Contains(got, "(p < 0,0001)") {
		t.Errorf("%q", got)
	}
}

// TestStudyOfBefore: a study whose verdict and notes were stored as texts is told as they
// were written.
func TestStudyOfBefore(t *testing.T) {
	s, err := ReadResult(CrossedKind, []byte(`{"design":"crossed","verdict":{"text":"Acceptable.","rule":"under 10 %","origin":"a book"},"notes":["2 rows were left out."],"no_average_and_range":"they need 2 appraisers"}`))
	if err != nil {
		t.Fatal(err)
	}
	h := s.Headline()
	if got, want := toldIn(words.German, append([]gauge.Message{h.Verdict.Text, h.Verdict.Rule}, h.Notes...)), "Acceptable. under 10 % 2 rows were left out. Mittelwerte und Spannweiten: keine; they need 2 appraisers."; got != want {
		t.Errorf("%q, want %q", got, want)
	}
}

// TestSentencesHaveTheirUnit: each length that a study says has the unit of its readings, a
// variance its square; plain numbers have none, and a share keeps its percent.
func TestSentencesHaveTheirUnit(t *testing.T) {
	l := func(name string) gauge.Arg { return figure(name, 0.25) }
	p := chanceOf(0.01)
	for _, c := range []struct {
		said        gauge.Message
		with, plain string
	}{
		{gauge.Say("judged.biased", p, l("low"), l("high"), trust(0.95), l("error")), "zwischen 0,25 mm und 0,25 mm. Es einstellen, oder die Messwerte korrigieren und die Unsicherheit der Korrektur mitzählen: 0,25 mm.", "zwischen 0,25 und 0,25."},
		{gauge.Say("judged.no_bias", p, l("low"), l("high"), trust(0.95)), "zwischen 0,25 mm und 0,25 mm.", "zwischen 0,25 und 0,25."},
		{gauge.Say("judged.sloped", figure("slope", 0.5), p, l("change")), "(Steigung 0,5, p 0,0100): um 0,25 mm über", "um 0,25 über"},
		{gauge.Say("judged.some_not_stable", gauge.Count("bad", 1), gauge.Count("masters", 2), gauge.List("each", gauge.Nested("", gauge.Say("judged.at_master", gauge.Text("master", "A"), gauge.Nested("said", gauge.Say("judged.drifts", l("trend"), p)))))), "um 0,25 mm (p", "um 0,25 (p"},
		{belowZero(gauge.Text("of", "Tage"), -0.001), "auf -0,001 mm² geschätzt", "auf -0,001 geschätzt"},
		{gauge.Say("judged.interval", l("low"), l("high"), trust(0.95)), "zwischen 0,25 % und 0,25 %.", "zwischen 0,25 % und 0,25 %."},
	} {
		h := Headline{Verdict: &Verdict{Text: c.said}, Notes: []gauge.Message{c.said}}
		for unit, want := range map[gauge.Unit]string{gauge.Millimetre: c.with, gauge.UnitUnknown: c.plain} {
			told := h.In(unit)
			for _, m := range []gauge.Message{told.Verdict.Text, told.Notes[0]} {
				if got := toldIn(words.German, []gauge.Message{m}); !strings.Contains(got, want) {
					t.Errorf("%v: %q lacks %q", unit, got, want)
				}
			}
		}
		if got := toldIn(words.German, h.Notes); !strings.Contains(got, c.plain) {
			t.Errorf("what is stored was changed: %q", got)
		}
	}
}
