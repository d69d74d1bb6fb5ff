package study

import (
	"encoding/csv"
	"math"
	"os"
	"path/filepath"
	"strconv"
	"testing"
)

func manual(t *testing.T, o Options) *Variation {
	t.Helper()
	v, err := Crossed(read(t, "grr_10x3x3.csv", nil, []Role{Part, Appraiser, Trial}), o)
	if err != nil {
		t.Fatal(err)
	}
	return v
}

// TestCrossedOfTheManual: MSA manual, worked example by analysis of variance.
func TestCrossedOfTheManual(t *testing.T) {
	v := manual(t, Options{PoolAbove: 1}) // the table before pooling
	part, appraiser, interaction, equipment, total := v.Table[0], v.Table[1], v.Table[2], v.Table[3], v.Table[4]
	compare(t, "MSA-TAB", map[string]float64{
		"SS appraiser": appraiser.Sum, "SS part": part.Sum, "SS interaction": interaction.Sum, "SS equipment": equipment.Sum, "SS total": total.Sum,
		"MS appraiser": appraiser.Mean, "MS part": part.Mean, "MS interaction": interaction.Mean, "MS equipment": equipment.Mean,
		"F appraiser (over equipment)": appraiser.Mean / equipment.Mean, "F part (over equipment)": part.Mean / equipment.Mean,
		"F interaction": interaction.F.F, "p interaction": interaction.F.P,
		"F appraiser over interaction": appraiser.F.F, "F part over interaction": part.F.F,
	})
	kept, _ := v.Component(Repeatability)
	v = manual(t, Options{})
	if !v.Pooled {
		t.Error("the interaction is not pooled")
	}
	get := func(name string) Component {
		c, ok := v.Component(name)
		if !ok {
			t.Errorf("no component %s", name)
		}
		return c
	}
	ev, av, grr, pv, tv := get(Repeatability), get(ByAppraiser), get(RepeatAndRepro), get(ByPart), get(Total)
	compare(t, "MSA-ANOVA", map[string]float64{
		"EV": ev.Deviation, "AV": av.Deviation, "INT": 0, "GRR": grr.Deviation, "PV": pv.Deviation, "TV": tv.Deviation,
		"%TV EV": ev.StudyVariation, "%TV AV": av.StudyVariation, "%TV GRR": grr.StudyVariation, "%TV PV": pv.StudyVariation,
		"contribution EV": ev.Contribution, "contribution AV": av.Contribution, "contribution GRR": grr.Contribution, "contribution PV": pv.Contribution,
		"ndc": *v.Distinct, "EV without pooling": kept.Deviation,
	})
}

// TestAverageAndRange: MSA manual, worked example by averages and ranges,
// printed results from memory.
func TestAverageAndRange(t *testing.T) {
	r := manual(t, Options{}).Ranges
	compare(t, "MSA-AR", map[string]float64{
		"Rbar": r.MeanRange, "Xdiff": r.AppraiserRange, "Rp": r.PartRange, "EV": r.Repeatability, "AV": r.Reproducibility,
		"GRR": r.Both, "PV": r.Part, "TV": r.Total, "%EV": r.Percent.Repeatability, "%AV": r.Percent.Reproducibility,
		"%GRR": r.Percent.Both, "%PV": r.Percent.Part, "ndc before truncation": r.Distinct, "ndc": math.Floor(r.Distinct),
		"UCL_R (D4 2.58)": r.UpperRange,
	})
}

// TestFactors: MSA manual, form for averages and ranges. The value of the
// reference is 1/d2* of the five digits that the table prints.
func TestFactors(t *testing.T) {
	compareWithin(t, "MSA-K", 1e-5, map[string]float64{
		"K1, 2 trials": 1 / rangeOf(2).mean, "K1, 3 trials": 1 / rangeOf(3).mean,
		"K2, 2 appraisers": 1 / rangeOf(2).d2Star(1), "K2, 3 appraisers": 1 / rangeOf(3).d2Star(1),
		"K3, 5 parts": 1 / rangeOf(5).d2Star(1), "K3, 10 parts": 1 / rangeOf(10).d2Star(1),
	})
}

// TestRangeDistribution holds d2* against the recomputed table, every row.
func TestRangeDistribution(t *testing.T) {
	f, err := os.Open(filepath.Join(dataDir, "d2_star.csv"))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	r := csv.NewReader(f)
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 150 {
		t.Fatalf("%d rows, %v", len(rows), err)
	}
	moments := map[int]rangeMoments{}
	for _, row := range rows[1:] {
		m, _ := strconv.Atoi(row[0])
		want, _ := strconv.ParseFloat(row[3], 64)
		if moments[m].mean == 0 {
			moments[m] = rangeOf(m)
		}
		got := moments[m].mean
		if g, err := strconv.Atoi(row[1]); err == nil {
			got = moments[m].d2Star(g)
		}
		if math.Abs(got-want) > 6e-6 {
			t.Errorf("d2*(%s,%s) is %.6f, not %.5f", row[0], row[1], got, want)
		}
	}
	if nu := moments[2].freedom(1); math.Abs(nu-1) > 1e-6 { // the range of two is a chi variate of one degree of freedom
		t.Errorf("the range of two has %v degrees of freedom", nu)
	}
}
