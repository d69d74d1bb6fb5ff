package check

import "gauged/internal/gauge"

// Lacks says what a check lacks of its plan; zero: nothing. readings is how many there are
// at a master, from below or from above; 0: it was not checked there.
func (p *Plan) Lacks(readings func(master string, falling bool) int) gauge.Message {
	if p == nil {
		return gauge.Message{}
	}
	var lacking []gauge.Arg
	for _, id := range p.Masters {
		for _, falling := range []bool{false, true} {
			if falling && !p.BothWays {
				continue
			}
			if n := readings(id, falling); n > 0 && n >= p.Repeats {
				continue
			}
			code := "partial.readings"
			if falling {
				code = "partial.readings_falling"
			}
			lacking = append(lacking, gauge.Nested("", gauge.Say(code, gauge.Count("readings", p.Repeats), gauge.Text("master", id))))
		}
	}
	if len(lacking) == 0 {
		return gauge.Message{}
	}
	return gauge.Say("partial.lacks", gauge.List("all", lacking...))
}
