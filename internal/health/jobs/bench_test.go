package jobs

import "testing"

// BenchmarkEstimate computes a year of a site of 500 gauges with 200 jobs a day
// and a master check of each gauge every quarter: 73 000 residuals.
func BenchmarkEstimate(b *testing.B) {
	for _, c := range []struct {
		name   string
		shared bool
		faulty bool
	}{{"benches of five gauges", false, false}, {"twenty benches share a micrometer", true, false}, {"one gauge in ten drifts", false, true}} {
		b.Run(c.name, func(b *testing.B) {
			s := aBench(365)
			s.benches, s.jobsPerDay, s.checkEvery, s.shared = 100, 200, 90, c.shared
			if c.faulty {
				s.fault = func(g string, day float64) float64 {
					if g[1] == '7' {
						return max(0, day-100) * um
					}
					return 0
				}
			}
			residuals, anchors, _ := s.run(1)
			b.ReportAllocs()
			for b.Loop() {
				site, err := Estimate(s.model, residuals, anchors, s.end())
				if err != nil {
					b.Fatal(err)
				}
				b.ReportMetric(float64(len(site.Tracks)), "gauges")
				b.ReportMetric(float64(len(site.Alarms)), "alarms")
			}
			b.ReportMetric(b.Elapsed().Seconds()/float64(b.N)/float64(len(residuals))*1e9, "ns/residual")
		})
	}
}
