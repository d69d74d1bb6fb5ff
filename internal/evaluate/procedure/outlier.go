package procedure

// OutlierTest says how readings that stand out are found.
type OutlierTest string

// The tests. Grubbs' test needs three readings and finds one outlier; the
// generalized extreme studentized deviate test needs fifteen and finds several
// that would hide each other, up to one in five readings.
const (
	OutlierGrubbs OutlierTest = "grubbs"
	OutlierESD    OutlierTest = "esd"
)

// FewestReadings is how many readings the test needs to say anything; 0 for a
// test that is not known.
func (t OutlierTest) FewestReadings() int {
	switch t {
	case OutlierGrubbs:
		return 3
	case OutlierESD:
		return 15 // where the test's source calls it reasonably accurate
	}
	return 0
}
