package jobs

import (
	"fmt"
	"math/rand/v2"
	"time"
)

// um is one micrometre in metres.
const um = 1e-6

// began is when all simulated sites begin.
var began = time.Date(2025, 1, 1, 0, 0, 0, 0, time.UTC)

// bench is an invented bench: the gauges of each kind of job with their
// coefficients in its residual.
var bench = [][]Term{
	{{"play", 1, 3}, {"depth-1", -1, 3}, {"thickness", -1, 1}},
	{{"play", 1, 3}, {"depth-1", -1, 3}, {"depth-2", 1, 3}, {"thickness", -1, 1}},
	{{"end-play", 1, 3}, {"depth-1", -1, 3}, {"depth-2", 1, 3}},
	{{"end-play", 1, 3}, {"depth-2", -1, 3}},
}

// shop is a simulated site: benches, what they do, and what goes wrong.
type shop struct {
	days, jobsPerDay int
	benches          int
	shared           bool    // neighbouring benches use one thickness micrometer
	sigma            float64 // of a residual, in metres
	badSeats         float64 // share of jobs that are off by up to 100 um
	checkEvery       int     // days between master checks of a gauge; 0: none
	checkSigma       float64
	fault            func(gauge string, day float64) float64 // added to a healthy gauge's error; may be nil
	model            Model                                   // by which healthy gauges wander
	wander           float64                                 // times as much as that; 0: once
}

// truth is the error of a gauge at the end of each day.
type truth map[string][]float64

// run draws a history of the site. Gauges of bench 7 have the prefix "7-", with
// one bench alone there is none.
func (s shop) run(seed uint64) (residuals []Residual, anchors []Anchor, errors truth) {
	r := rand.New(rand.NewPCG(seed, 1))
	kinds, gauges := s.kinds()
	errors = truth{}
	wander := s.model.Wander
	if s.wander > 0 {
		wander *= s.wander
	}
	for i, g := range gauges {
		e, rate := r.NormFloat64()*s.model.Start, r.NormFloat64()*s.model.Rate
		for day := range s.days {
			e += rate + r.NormFloat64()*wander
			rate += r.NormFloat64() * s.model.RateWander
			total := e
			if s.fault != nil {
				total += s.fault(g, float64(day))
			}
			errors[g] = append(errors[g], total)
			if s.checkEvery > 0 && (day+i*7)%s.checkEvery == 0 {
				anchors = append(anchors, Anchor{
					Time: began.AddDate(0, 0, day).Add(7 * time.Hour), Gauge: g,
					Error: total + r.NormFloat64()*s.checkSigma, Sigma: s.checkSigma,
				})
			}
		}
	}
	for day := range s.days {
		for job := range s.jobsPerDay {
			terms := kinds[r.IntN(len(kinds))]
			value := r.NormFloat64() * s.sigma
			for _, t := range terms {
				value += t.Coefficient * errors[t.Gauge][day]
			}
			if r.Float64() < s.badSeats {
				value += 100 * um * r.Float64()
			}
			at := began.AddDate(0, 0, day).Add(8*time.Hour + time.Duration(job)*8*time.Hour/time.Duration(s.jobsPerDay))
			residuals = append(residuals, Residual{Time: at, Terms: terms, Value: value, Sigma: s.sigma})
		}
	}
	return residuals, anchors, errors
}

func (s shop) kinds() (kinds [][]Term, gauges []string) {
	seen := map[string]bool{}
	for b := range s.benches {
		for _, kind := range bench {
			var terms []Term
			for _, t := range kind {
				switch {
				case s.benches == 1:
				case s.shared && t.Gauge == "thickness":
					t.Gauge = fmt.Sprintf("store-%d", b/20)
				default:
					t.Gauge = fmt.Sprintf("%d-%s", b, t.Gauge)
				}
				if !seen[t.Gauge] {
					seen[t.Gauge] = true
					gauges = append(gauges, t.Gauge)
				}
				terms = append(terms, t)
			}
			kinds = append(kinds, terms)
		}
	}
	return kinds, gauges
}

func (s shop) end() time.Time { return began.AddDate(0, 0, s.days) }

// aBench is a bench of five gauges with two jobs a day.
func aBench(days int) shop {
	return shop{days: days, jobsPerDay: 2, benches: 1, sigma: 3 * um, checkSigma: um, model: DefaultModel()}
}
