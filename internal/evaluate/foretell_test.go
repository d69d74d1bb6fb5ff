package evaluate

import (
	"reflect"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/words"
)

// foretellFrom foretells a part from readings under a procedure with a family.
func foretellFrom(t *testing.T, written, family, readings string, f procedure.Fitted) (Foretold, Evaluation) {
	t.Helper()
	p, err := readProcedure("p.yaml", []byte(written))
	if err != nil {
		t.Fatal(err)
	}
	parts, err := procedure.ReadFamily("f.yaml", []byte(family))
	if err != nil {
		t.Fatal(err)
	}
	var in compute.Input
	for pair := range strings.SplitSeq(readings, ", ") {
		name, value, _ := strings.Cut(pair, " ")
		r, err := p.Typed(name, value, typedIn(p, name))
		if err != nil {
			t.Fatal(err)
		}
		in.Readings = append(in.Readings, r)
	}
	e, err := Evaluate(p, parts, in)
	if err != nil {
		t.Fatal(err)
	}
	told, err := Foretell(p, parts, in, f)
	if err != nil {
		t.Fatal(err)
	}
	return told, e
}

// codesOf lists the codes of warnings.
func codesOf(t Foretold) (codes []FindingCode) {
	for _, f := range t.Warnings {
		codes = append(codes, f.Code)
	}
	return codes
}

// TestForetellsAsItChooses: what is foretold of each grade is what the list of the
// grades says of it.
func TestForetellsAsItChooses(t *testing.T) {
	written := strings.NewReplacer("CONSTANT", "", "FORMULA", "gap").Replace(washerGap)
	for _, part := range []string{"W190", "W230"} {
		told, e := foretellFrom(t, written, washers, "gap 2.44", procedure.Fitted{Part: part})
		i := 0
		if part == "W230" {
			i = 1
		}
		c := e.Candidates[i]
		if *told.Play != *c.Play || !reflect.DeepEqual(told.Worst, c.Worst) || *told.Probability != *c.Probability || told.Fits != c.Fits || *told.Thickness != *c.Thickness {
			t.Errorf("%s: %+v, the list says %+v", part, told, c)
		}
		if told.Unexpected != (part != e.Choice.Part) {
			t.Errorf("%s: unexpected is %v", part, told.Unexpected)
		}
	}
}

// TestForetold: parts that are not the recommended one, or not as thick as they
// should be, say what they would leave and what is wrong with them.
func TestForetold(t *testing.T) {
	washer := strings.NewReplacer("CONSTANT", "", "FORMULA", "gap").Replace(washerGap)
	packs := "procedure: p\ntitle: t\nunit: mm\ndecimals: 2\nmeasure: {gap: {title: gap}}\nparts: kit\ngap: gap\nallow: {play: {min: 0.00, max: 0.10}}\nchoose: {method: middle, pack: {most: 2}}\n"
	kit := kitText("0.10*2 0.30 0.50*0")
	stated := "procedure: p\ntitle: t\nunit: mm\ndecimals: 2\nmeasure: {gap: {title: gap}}\nparts: kit\nthickness: gap\nchoose: {method: nearest}\n"
	for _, c := range []struct {
		name, procedure, family, gap string
		fitted                       procedure.Fitted
		fits, unexpected             bool
		codes, text                  string
	}{
		{
			"recommended", washer, washers, "2.20",
			procedure.Fitted{Part: "W190"},
			true, false, "",
			"W190 of 1.90 mm would leave play 0.30 mm, within the stated tolerances play 0.25 to 0.35 mm; allowed is play 0.10 to 0.56 mm. The probability of ending inside is 100 %.",
		},
		{
			"another grade", washer, washers, "2.44",
			procedure.Fitted{Part: "W190"},
			true, true, "other_part worst_case unlikely",
			"W190 of 1.90 mm would leave play 0.54 mm, within the stated tolerances play 0.49 to 0.59 mm; allowed is play 0.10 to 0.56 mm. The probability of ending inside is 70 %. Recommended is W230.",
		},
		{
			"a stamped size that measures otherwise", washer, washers, "2.20",
			procedure.Fitted{Part: "W190", Thickness: new(mm("1.62"))},
			false, true, "thickness predicted_outside",
			"W190 of 1.62 mm (as measured) would leave play 0.58 mm; allowed is play 0.10 to 0.56 mm. It does not fit.",
		},
		{
			"measured, the tolerance of the part counts no more", washer, washers, "2.44",
			procedure.Fitted{Part: "W230", Thickness: new(mm("2.30"))},
			true, false, "",
			"W230 of 2.30 mm (as measured) would leave play 0.14 mm; allowed is play 0.10 to 0.56 mm.",
		},
		{
			"no such part", washer, washers, "2.44",
			procedure.Fitted{Part: "W200"},
			false, true, "unknown_part",
			"W200: its thickness is not known, so nothing can be predicted. It does not fit. Recommended is W230.",
		},
		{
			"hand-picked pack", packs, kit, "0.45",
			procedure.Fitted{Part: "s0.10+s0.10"},
			false, true, "other_part predicted_outside",
			"s0.10+s0.10 of 0.20 mm would leave play 0.25 mm; allowed is play 0.00 to 0.10 mm. It does not fit. Recommended is s0.10 + s0.30.",
		},
		{
			"the recommended pack in another order", packs, kit, "0.45",
			procedure.Fitted{Part: "s0.30 + s0.10"},
			true, false, "",
			"s0.30 + s0.10 of 0.40 mm would leave play 0.05 mm; allowed is play 0.00 to 0.10 mm.",
		},
		{
			"pieces that cannot be had", packs, kit, "0.45",
			procedure.Fitted{Part: "s0.50 + s0.10"},
			false, true, "other_part predicted_outside out_of_stock",
			"s0.50 + s0.10 of 0.60 mm would leave preload 0.15 mm; allowed is play 0.00 to 0.10 mm. It does not fit. Recommended is s0.10 + s0.30.",
		},
		{
			"more pieces than the procedure takes", packs, kit, "0.55",
			procedure.Fitted{Part: "s0.10 + s0.10 + s0.30"},
			false, true, "other_part",
			"s0.10 + s0.10 + s0.30 of 0.50 mm would leave play 0.05 mm; allowed is play 0.00 to 0.10 mm. It does not fit.",
		},
		{
			"a pack as measured", packs, kit, "0.45",
			procedure.Fitted{Part: "s0.10 + s0.30", Thickness: new(mm("0.33"))},
			false, true, "predicted_outside",
			"s0.10 + s0.30 of 0.33 mm (as measured) would leave play 0.12 mm; allowed is play 0.00 to 0.10 mm. It does not fit.",
		},
		{
			"a stated thickness", stated, kitText("1.00 1.10 1.20"), "1.12",
			procedure.Fitted{Part: "s1.20"},
			false, true, "other_part",
			"s1.20 of 1.20 mm. It does not fit. Recommended is s1.10.",
		},
		{
			"a stated thickness, measured", stated, kitText("1.00 1.10 1.20"), "1.12",
			procedure.Fitted{Part: "s1.10", Thickness: new(mm("1.03"))},
			false, true, "thickness",
			"s1.10 of 1.03 mm (as measured). It does not fit.",
		},
		{
			"no part is thin enough", washer, washers, "0.05",
			procedure.Fitted{Part: "W190"},
			false, true, "surely_outside predicted_outside",
			"W190 of 1.90 mm would leave preload 1.85 mm, within the stated tolerances preload 1.80 to 1.90 mm; allowed is play 0.10 to 0.56 mm. The probability of ending inside is 0 %. It does not fit.",
		},
	} {
		told, _ := foretellFrom(t, c.procedure, c.family, "gap "+c.gap, c.fitted)
		var codes []string
		for _, code := range codesOf(told) {
			codes = append(codes, string(code))
		}
		if told.Fits != c.fits || told.Unexpected != c.unexpected || strings.Join(codes, " ") != c.codes || inEnglish(told.Says) != c.text {
			t.Errorf("%s: fits %v, unexpected %v\n got %s\nwant %s\nwarnings %+v", c.name, told.Fits, told.Unexpected, inEnglish(told.Says), c.text, told.Warnings)
		}
	}
}

// TestForetellLeavesOutWhatCameAfter: what is fitted now, and what was measured on
// it, count no more for the part that comes instead.
func TestForetellLeavesOutWhatCameAfter(t *testing.T) {
	p, err := readProcedure("p.yaml", []byte(strings.NewReplacer("CONSTANT", "", "FORMULA", "gap").Replace(washerGap)+"verify: {measure: {end: {title: end play}}, play: end}\n"))
	if err != nil {
		t.Fatal(err)
	}
	family, err := procedure.ReadFamily("f.yaml", []byte(washers))
	if err != nil {
		t.Fatal(err)
	}
	gap, err := p.Typed("gap", "2.20", p.Unit)
	if err != nil {
		t.Fatal(err)
	}
	end, err := p.Typed("end", "0.31", p.Unit)
	if err != nil {
		t.Fatal(err)
	}
	bare, err := Foretell(p, family, compute.Input{Readings: []procedure.Reading{gap}}, procedure.Fitted{Part: "W190"})
	if err != nil {
		t.Fatal(err)
	}
	proved, err := Foretell(p, family, compute.Input{Readings: []procedure.Reading{gap, end}, Fitted: []procedure.Fitted{{Part: "W230"}}}, procedure.Fitted{Part: "W190"})
	if err != nil || !reflect.DeepEqual(bare, proved) {
		t.Errorf("%v\n got %+v\nwant %+v", err, proved, bare)
	}
	if _, err := Foretell(p, family, compute.Input{}, procedure.Fitted{Part: "W190"}); err == nil || words.In(words.German).Error(err) != "was eingebaut werden soll, ist noch nicht bekannt; zuerst messen" {
		t.Errorf("before measuring: %v", err)
	}
}
