package gauge

import (
	"encoding/json"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"
)

// everything has an argument of each kind.
var everything = Say("finding.example",
	Text("part", "S-12"), Shown("gap", "0.120", Millimetre), Shown("ratio", "1.5", UnitUnknown), Count("pieces", 0), Chance("inside", 9750),
	Word("aim", "aim.middle"), Texts("names", []string{"a", "b"}), Nested("because", Say("why.example", Count("rows", 2))),
	Moment("since", time.Date(2026, 3, 1, 8, 0, 0, 0, time.FixedZone("", 3600))), Span("waited", 90*time.Second))

// TestMessageIsStored: what is stored is read back as it was, and stored again it is
// the same bytes.
func TestMessageIsStored(t *testing.T) {
	const want = `{"code":"finding.example","args":[{"name":"part","text":"S-12"},{"name":"gap","digits":"0.120","unit":"mm"},` +
		`{"name":"ratio","digits":"1.5"},{"name":"pieces","count":0},{"name":"inside","chance":9750},{"name":"aim","word":"aim.middle"},` +
		`{"name":"names","list":[{"text":"a"},{"text":"b"}]},{"name":"because","message":{"code":"why.example","args":[{"name":"rows","count":2}]}},` +
		`{"name":"since","moment":"2026-03-01T07:00:00Z"},{"name":"waited","span":90000000000}]}`
	for _, c := range []struct {
		m    Message
		want string
	}{
		{everything, want},
		{Say("finding.alone"), `{"code":"finding.alone"}`},
		{Plain("the depth is 0.1 too large"), `"the depth is 0.1 too large"`},
	} {
		content, err := json.Marshal(c.m)
		if err != nil || string(content) != c.want {
			t.Fatalf("%v\n got %s\nwant %s", err, content, c.want)
		}
		var back Message
		if err := json.Unmarshal(content, &back); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(c.m, back); diff != "" {
			t.Error(diff)
		}
	}
}

func TestMessageIsLeftOutWhenThereIsNone(t *testing.T) {
	content, err := json.Marshal(struct {
		Why Message `json:"why,omitzero"`
	}{Plain("")})
	if err != nil || string(content) != "{}" {
		t.Errorf("%s, %v", content, err)
	}
}
