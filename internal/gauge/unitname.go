package gauge

// many is how people call values in a unit, where its symbol would be misread in a sentence:
// "in in".
var many = map[Unit]string{
	Millimetre:              "millimetres",
	Inch:                    "inches",
	Micrometre:              "micrometres",
	Newton:                  "newtons",
	PoundForce:              "pounds-force",
	KilogramForce:           "kilograms-force",
	NewtonMetre:             "newton metres",
	NewtonCentimetre:        "newton centimetres",
	PoundForceInch:          "pound-force inches",
	PoundForceFoot:          "pound-force feet",
	KilogramForceCentimetre: "kilogram-force centimetres",
	DegreeCelsius:           "degrees Celsius",
	Kelvin:                  "kelvins",
	Degree:                  "degrees",
	One:                     "plain numbers",
}

// Many is the unit in words, such as inches; empty when it is not known.
func (u Unit) Many() string { return many[u] }
