package study

import (
	"encoding/json"
	"testing"
)

// FuzzStudies: whatever stands in a file, each study is refused, or gives
// figures without a hole.
func FuzzStudies(f *testing.F) {
	f.Add("part,appraiser,value\n1,A,1\n1,A,2\n2,A,1\n2,A,3\n1,B,4\n1,B,1\n2,B,0\n2,B,1")
	f.Add("run,day,value\n1,1,1\n1,1,2\n1,2,2\n1,2,2\n2,1,4\n2,1,3\n2,2,1\n2,2,1")
	f.Add("group,value,sd,n\na,1,2,3\nb,2,1,4")
	f.Add("value,reference\n1,1\n2,2.1\n3,3.2\n4,3.9\n1,1.1\n2,2\n3,3\n4,4.1\n1,1\n2,2.2")
	f.Fuzz(func(t *testing.T, content string) {
		o := Options{Tolerance: 1, Draws: 100}
		for _, roles := range [][]Role{
			{Part, Appraiser, Trial}, {Part, Run, Day, Gauge, Deviation, Repeats}, {Group, Deviation, Repeats}, {Reference, Time},
		} {
			table, err := ReadTable("f.csv", []byte(content))
			if err != nil {
				return
			}
			d, err := table.Data(nil, roles, nil)
			if err != nil {
				continue
			}
			for _, study := range []func() (any, error){
				func() (any, error) { return Crossed(d, o) }, func() (any, error) { return Nested(d, o) },
				func() (any, error) { return NestedLevels(d, Use{}, o) }, func() (any, error) { return OneWay(d, 1, o) },
				func() (any, error) { return Bias(d, 0, o) }, func() (any, error) { return Linearity(d, o) },
				func() (any, error) { return Stability(d, o) }, func() (any, error) { return Capability(d, Indices{}, o) },
			} {
				result, err := study()
				if err != nil {
					continue
				}
				if _, err := json.Marshal(result); err != nil {
					t.Errorf("%q: %v in %+v", content, err, result)
				}
			}
		}
	})
}
