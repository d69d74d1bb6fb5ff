package suspect

import (
	"math"
	"math/rand/v2"
	"slices"
	"testing"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
	"gauged/internal/words"
)

func um(texts ...string) []gauge.Length {
	var lengths []gauge.Length
	for _, text := range texts {
		lengths = append(lengths, gauge.MustLength(text, gauge.Micrometre))
	}
	return lengths
}

func tellUm(name string, l gauge.Length) gauge.Arg {
	return gauge.Shown(name, l.Text(gauge.Micrometre, 1), gauge.Micrometre)
}

// inEnglish words a message.
func inEnglish(m gauge.Message) string {
	catalogue, err := words.Load()
	if err != nil {
		panic(err)
	}
	text, err := catalogue.In(words.English).Text(m)
	if err != nil {
		panic(err)
	}
	return text
}

// suspected is what is told of a measurement d; empty where nothing is suspected.
func suspected(key string, args []gauge.Arg, ok bool) string {
	if !ok {
		return ""
	}
	return inEnglish(gauge.Say(key, append(args, gauge.Text("step", "d"))...))
}

const oneUm = gauge.Length(1e6)

func TestOutliers(t *testing.T) {
	fifteen := []string{"200", "201", "199", "200", "202", "198", "201", "200", "199", "201", "200", "202", "199", "200", "201"}
	cases := []struct {
		name       string
		readings   []gauge.Length
		resolution gauge.Length
		test       procedure.OutlierTest
		want       []int
	}{
		{"one stands out", um("412", "410", "411", "470", "411", "412"), oneUm, procedure.OutlierGrubbs, []int{3}},
		{"the smallest stands out", um("350", "410", "411", "412", "411", "412"), oneUm, procedure.OutlierGrubbs, []int{0}},
		{"none stands out", um("412", "410", "411", "414", "409", "412"), oneUm, procedure.OutlierGrubbs, nil},
		{"two readings say nothing", um("412", "999"), oneUm, procedure.OutlierGrubbs, nil},
		{"no reading", nil, oneUm, procedure.OutlierGrubbs, nil},
		{"equal readings, resolution unknown", um("412", "412", "412"), 0, procedure.OutlierGrubbs, nil},
		{"two steps off", um("410", "410", "410", "410", "410", "410", "410", "430"), 10 * oneUm, procedure.OutlierGrubbs, nil},
		{"three steps off", um("410", "410", "410", "410", "410", "410", "410", "440"), 10 * oneUm, procedure.OutlierGrubbs, []int{7}},
		{"three steps off among three", um("410", "410", "440"), 10 * oneUm, procedure.OutlierGrubbs, nil},
		{"far off beside two that are equal", um("410", "410", "900"), 10 * oneUm, procedure.OutlierGrubbs, nil},
		{"far off among three", um("410", "420", "9000"), 10 * oneUm, procedure.OutlierGrubbs, []int{2}},
		{"too few for the deviate test", um("412", "410", "411", "470", "411", "412"), oneUm, procedure.OutlierESD, nil},
		{"none among fifteen", um(fifteen...), oneUm, procedure.OutlierESD, nil},
		{"three that hide each other", um(append([]string{"230", "231", "232"}, fifteen...)...), oneUm, procedure.OutlierESD, []int{0, 1, 2}},
		{"three that hide each other from one test", um(append([]string{"230", "231", "232"}, fifteen...)...), oneUm, procedure.OutlierGrubbs, nil},
		{"a test that is not known", um("412", "410", "411", "970", "411"), oneUm, "dixon", nil},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			given := slices.Clone(c.readings)
			if got := Outliers(c.readings, c.resolution, c.test, 0.05); !slices.Equal(got, c.want) {
				t.Errorf("%v stand out, want %v", got, c.want)
			}
			if !slices.Equal(c.readings, given) {
				t.Errorf("%v has become %v", given, c.readings)
			}
		})
	}
}

func TestFallingFirst(t *testing.T) {
	cases := []struct {
		name              string
		readings          []gauge.Length
		resolution, usual gauge.Length
		want              string
	}{
		{
			"settled after the first", um("520", "411", "410", "412"), oneUm, 0,
			"d: the first reading, 520.0 um, is 108.0 um above the largest of the 3 after it. These lie within 2.0 um. The part may not have been seated at first.",
		},
		{
			"scatter known", um("425", "411", "416"), oneUm, 5 * oneUm,
			"",
		},
		{
			"beyond the known scatter", um("427", "411", "416"), oneUm, 5 * oneUm,
			"d: the first reading, 427.0 um, is 11.0 um above the largest of the 2 after it. These lie within 5.0 um. The part may not have been seated at first.",
		},
		{"two steps", um("430", "410", "410", "410", "410"), 10 * oneUm, 0, ""},
		{
			"three steps", um("440", "410", "410", "410", "410"), 10 * oneUm, 0,
			"d: the first reading, 440.0 um, is 30.0 um above the largest of the 4 after it. These lie within 0.0 um. The part may not have been seated at first.",
		},
		{"smaller first", um("300", "411", "410", "412"), oneUm, 0, ""},
		{"the others fall on", um("520", "480", "440", "410"), oneUm, 0, ""},
		{"the second is large", um("411", "520", "410", "412"), oneUm, 0, ""},
		{"two readings", um("520", "411"), oneUm, oneUm, ""},
		{"all equal, resolution unknown", um("411", "411", "411"), 0, 0, ""},
		{"no reading", nil, oneUm, oneUm, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			args, ok := FallingFirst(c.readings, c.resolution, c.usual, tellUm)
			if got := suspected("found.falling_first", args, ok); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}

func TestIdentical(t *testing.T) {
	same := func(n int) []gauge.Length { return slices.Repeat(um("411"), n) }
	cases := []struct {
		name              string
		readings          []gauge.Length
		resolution, usual gauge.Length
		want              string
	}{
		{
			"five of a fine display", same(5), oneUm, 0,
			"d: all 5 readings are 411.0 um, at a resolution of 1.0 um. Check that the spindle moves freely and that the gauge does not hold its value.",
		},
		{"four of a fine display", same(4), oneUm, 0, ""},
		{"many of a coarse display", same(20), oneUm + 1, 0, ""},
		{"resolution unknown", same(20), 0, 5 * oneUm, ""},
		// Probability (step / scatter)^2 / (2 pi sqrt 3) for three readings of a small step: 1.02 % and 0.92 %.
		{"usual scatter 3 um", same(3), oneUm, 3 * oneUm, ""},
		{
			"usual scatter 3.2 um", same(3), oneUm, 3200000,
			"d: all 3 readings are 411.0 um. With the usual scatter of this gauge, 3.2 um, that has a probability below 1 %. Check that the spindle moves freely and that the gauge does not hold its value.",
		},
		{"usual scatter below the step", same(50), oneUm, 200000, ""},
		{"not identical", um("411", "411", "411", "411", "412"), oneUm, 50 * oneUm, ""},
		{"one reading", same(1), oneUm, 50 * oneUm, ""},
		{"no reading", nil, oneUm, 50 * oneUm, ""},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			args, ok := Identical(c.readings, c.resolution, c.usual, tellUm)
			if got := suspected("found.identical_repeats", args, ok); got != c.want {
				t.Errorf("%q, want %q", got, c.want)
			}
		})
	}
}

// TestSuspicionRarelyErrs draws clean repeats and counts false alarms: none of
// the findings may come oftener than is stated, within four standard deviations
// of the count. Counted in 4000 rounds of 3, 5, 10 and 15 readings with a
// scatter of 5 um and a display step of 0, 1 and 10 um: falling first 1.7 to
// 2.1 %, 1.4 to 2.0 % and none; identical none, at most 0.3 % and 0.1 %; Grubbs'
// test at 5 % 4.7 to 5.5 %, 0 to 5.1 % and 0 to 0.4 %; the deviate test with 15
// readings 7.0 %, 6.3 % and 0.4 %.
func TestSuspicionRarelyErrs(t *testing.T) {
	const rounds = 4000
	random := rand.New(rand.NewPCG(7, 8))
	for _, resolution := range []gauge.Length{0, oneUm, 10 * oneUm} {
		for _, n := range []int{3, 5, 10, 15} {
			const scatter = 5 * float64(oneUm)
			// As a study of the gauge would give it, with that of the step in it.
			usual := gauge.Length(math.Hypot(scatter, float64(resolution)/math.Sqrt(12)))
			alarms := map[string]int{}
			count := func(name string, ok bool) {
				if ok {
					alarms[name]++
				}
			}
			for range rounds {
				readings := repeats(random, n, scatter, resolution)
				_, ok := FallingFirst(readings, resolution, 0, tellUm)
				count("falling", ok)
				_, ok = FallingFirst(readings, resolution, usual, tellUm)
				count("falling, scatter known", ok)
				_, ok = Identical(readings, resolution, usual, tellUm)
				count("identical", ok)
				count("grubbs", Outliers(readings, resolution, procedure.OutlierGrubbs, 0.05) != nil)
				count("esd", Outliers(readings, resolution, procedure.OutlierESD, 0.05) != nil)
			}
			t.Logf("resolution %s, %2d readings: %v of %d", resolution.Text(gauge.Micrometre, 1)+" um", n, alarms, rounds)
			for name, stated := range map[string]float64{
				"falling": 0.02, "falling, scatter known": 0.02, "identical": 0.01, "grubbs": 0.05, "esd": 0.07,
			} {
				if most := rounds*stated + 4*math.Sqrt(rounds*stated*(1-stated)); float64(alarms[name]) > most {
					t.Errorf("resolution %s, %d readings: %s raises %d alarms in %d, stated is %v", resolution.Text(gauge.Micrometre, 1)+" um", n, name, alarms[name], rounds, stated)
				}
			}
		}
	}
}

// repeats are readings of one place: normal about 0.4 mm, rounded to the display step.
func repeats(random *rand.Rand, n int, scatter float64, resolution gauge.Length) []gauge.Length {
	origin := 400e6 + random.Float64()*float64(resolution)
	readings := make([]gauge.Length, n)
	for i := range readings {
		readings[i] = gauge.Length(origin + scatter*random.NormFloat64())
		if resolution > 0 {
			readings[i] = (readings[i] + resolution/2) / resolution * resolution
		}
	}
	return readings
}
