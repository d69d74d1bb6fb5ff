package gauge

// Ability is what is known of how well a gauge, or a kind of instrument,
// measures. Values are in Unit; what is nil is not stated.
type Ability struct {
	Unit        Unit       `json:"unit"`
	Resolution  *Length    `json:"resolution,omitempty"` // step of the display
	Error       *Length    `json:"error,omitempty"`      // maximum permissible error, either way
	Varies      *Length    `json:"varies,omitempty"`     // by how much its error varies along the range, either way; nil: not at all
	Calibration *Expanded  `json:"calibration,omitempty"`
	Repeats     *Pooled    `json:"repeats,omitempty"`   // its usual scatter
	Expansion   *Expansion `json:"expansion,omitempty"` // of its scale; nil: not stated
}

// Decimals is how many decimals of u, up to 9, show a length of the gauge without rounding, and
// at least as many as its display has: 25.00 says how fine it was read.
func (a Ability) Decimals(l Length, u Unit) int {
	const most = 9
	least := 0
	if a.Resolution != nil {
		least = a.Resolution.Decimals(u, 0, most)
	}
	return l.Decimals(u, least, most)
}

// Stated reports whether anything is known of how well it measures.
func (a Ability) Stated() bool {
	return a.Resolution != nil || a.Error != nil || a.Calibration != nil || a.Repeats != nil
}

// Expanded is an expanded uncertainty with its coverage factor, as a
// calibration certificate states it.
type Expanded struct {
	Uncertainty Length `json:"uncertainty"`
	K           Length `json:"k"` // in One
}

// Pooled is a standard deviation from earlier readings.
type Pooled struct {
	Deviation Length `json:"deviation"`
	Freedom   int    `json:"freedom"` // degrees of freedom
}

// Expansion is a coefficient of linear thermal expansion, in One: 1e-6/K.
type Expansion struct {
	PerKelvin Length  `json:"per_kelvin"`
	Tolerance *Length `json:"tolerance,omitempty"` // either way; nil: exactly known
}

// LargestExpansion is up to where an expansion that is not stated may lie, from 0 on:
// that of aluminium, in One. The materials of gauges, masters and parts lie between
// them (in 1e-6/K, common handbook values from memory: Invar 1, glass 8, steel 11.5,
// brass 19, aluminium 23); the width is our choice.
const LargestExpansion = 23 * Length(1e9)

// ExpansionOf is the expansion to correct with, of a part, a master or a scale alike. One
// that is not stated is one number all the same, anywhere from 0 to the largest: its
// middle counts, and as much either way (JCGM 100, 4.3.7).
func ExpansionOf(stated *Expansion) (x Expansion, known bool) {
	if stated != nil {
		return *stated, true
	}
	half := LargestExpansion / 2
	return Expansion{PerKelvin: half, Tolerance: &half}, false
}
