package words

import "gauged/internal/gauge"

// Unit writes a unit as people read it, which is not how it is typed; a plain number has none.
func Unit(u gauge.Unit) string {
	switch u {
	case gauge.Micrometre:
		return "µm"
	case gauge.DegreeCelsius:
		return "°C"
	case gauge.Degree:
		return "°"
	case gauge.One:
		return ""
	}
	return u.String()
}
