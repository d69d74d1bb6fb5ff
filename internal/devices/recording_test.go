package devices

import (
	"bytes"
	"reflect"
	"strings"
	"testing"
	"time"

	"gauged/internal/words"
)

func TestRecordingReadsBack(t *testing.T) {
	var file bytes.Buffer
	start := time.Unix(1000, 0)
	w, err := NewRecordingWriter(&file, RecordingHeader{Layout: "signed-line", Remarks: "invented"}, start)
	if err != nil {
		t.Fatal(err)
	}
	for _, err := range []error{
		w.Chunk(start, Out, []byte("?\r")),
		w.Chunk(start.Add(1500*time.Microsecond), In, []byte{0, 0xff}),
		w.Mark(start.Add(time.Second), MarkUnplug, "pulled"),
	} {
		if err != nil {
			t.Fatal(err)
		}
	}
	rec, err := ReadRecording("f", &file)
	if err != nil {
		t.Fatal(err)
	}
	want := &Recording{
		Header: RecordingHeader{Format: 1, Layout: "signed-line", Remarks: "invented"},
		Entries: []RecordingEntry{
			{Dir: Out, Bytes: []byte("?\r")},
			{At: 1500 * time.Microsecond, Dir: In, Bytes: []byte{0, 0xff}},
			{At: time.Second, Mark: MarkUnplug, Text: "pulled"},
		},
	}
	if !reflect.DeepEqual(rec, want) {
		t.Errorf("got %+v", rec)
	}
}

const recordingHead = `{"recording":1,"layout":"signed-line","unit":"mm"}` + "\n"

func TestBadRecordings(t *testing.T) {
	cases := []struct{ name, content, want string }{
		{"empty", "", "f:1: the recording is empty"},
		{"format", `{"recording":2}`, "f:1: the recording has format 2; this program reads 1"},
		{"unknown key in the header", `{"recording":1,"maker":"x"}`, `f:1: header: json: unknown field "maker"`},
		{"unknown unit", `{"recording":1,"unit":"cm"}`, `f:1: header: unknown unit "cm": use mm, in, um, N, lbf, kgf, N m, N cm, lbf in, lbf ft, kgf cm, degC, K, deg or number`},
		{"unit of a temperature", `{"recording":1,"unit":"degC"}`, `f:1: header: degC is a unit of temperature; a gauge sends a length, a force, a torque or an angle`},
		{"no time", recordingHead + `{"dir":"in","hex":"00"}`, `f:2: "us" must be microseconds since the start`},
		{"back in time", recordingHead + `{"us":5,"dir":"in","hex":"00"}` + "\n" + `{"us":4,"dir":"in","hex":"00"}`, "f:3: the time steps back"},
		{"no direction", recordingHead + `{"us":5,"hex":"00"}`, `f:2: a chunk has "dir" in or out, and its bytes in "hex"`},
		{"odd hex", recordingHead + `{"us":5,"dir":"in","hex":"0"}`, `f:2: a chunk has "dir" in or out, and its bytes in "hex"`},
		{"odd mark", recordingHead + `{"us":5,"mark":"bang"}`, "f:2: a mark is unplug, replug or note, without dir and hex"},
		{"two objects", recordingHead + `{"us":5,"mark":"note"} {}`, "f:2: one object per line is needed"},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			_, err := ReadRecording("f", strings.NewReader(c.content))
			if err == nil || err.Error() != c.want {
				t.Errorf("\n got %v\nwant %s", err, c.want)
			}
		})
	}
}

// FuzzRecording: what can be read can be written and read again.
func FuzzRecording(f *testing.F) {
	for _, file := range glob(f, "../../testdata/logs/*.jsonl") {
		f.Add(readFile(f, file))
	}
	f.Fuzz(func(t *testing.T, content []byte) {
		rec, err := ReadRecording("f", bytes.NewReader(content))
		if err != nil {
			return
		}
		var again bytes.Buffer
		start := time.Unix(0, 0)
		w, err := NewRecordingWriter(&again, rec.Header, start)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range rec.Entries {
			if e.Mark != "" {
				err = w.Mark(start.Add(e.At), e.Mark, e.Text)
			} else {
				err = w.Chunk(start.Add(e.At), e.Dir, e.Bytes)
			}
			if err != nil {
				t.Fatal(err)
			}
		}
		back, err := ReadRecording("again", &again)
		if err != nil || !reflect.DeepEqual(back, rec) {
			t.Errorf("written and read again: %v\n got %+v\nwant %+v", err, back, rec)
		}
	})
}

func TestDecodeAll(t *testing.T) {
	var got []string
	err := DecodeAll(layout(t, "value-with-unit"), 0, strings.NewReader("+001.000 mm\r\nx\r\n+002.000 mm\r\n+0"), func(o Outcome) {
		got = append(got, words.In(words.English).Tell(describe([]Outcome{o})))
	})
	if err != nil {
		t.Fatal(err)
	}
	want := []string{
		`"+001.000" mm, value 1`,
		`a rejection (layout: "x" does not match the layout)`,
		`"+002.000" mm, value 2`,
		"a rejection (half_frame: the frame stopped after 2 bytes)",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("got\n%s", strings.Join(got, "\n"))
	}
}
