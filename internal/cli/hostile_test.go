package cli

import (
	"context"
	"encoding/csv"
	"encoding/json"
	"strconv"
	"strings"
	"testing"

	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"
)

// hostile is what a serial number can have that was scanned or typed: it names the
// window, clears the screen by a C1 character, rings, goes back to the start of the
// line, turns the text around, and begins a row of its own.
const hostile = "\x1b]0;x\a\u009b2J\r\u202eforged\nforged row\tx\x7f"

// harmless are the fields that a station fills in itself, and those by which a thing
// is found.
var harmless = map[protoreflect.Name]bool{
	"id": true, "gauge_id": true, "gauge_ids": true, "text": true, "name": true, "part": true, "measuring": true, "hash": true, "shown": true,
	"data": true, "figures": true, "mode": true, "chosen_part": true, "parts": true, "master": true, "kind": true, "change": true, "unit": true, "how": true, "cautions": true,
}

// suffixed adds the hostile text to another one.
func suffixed(text string) string { return text + hostile }

// poison changes all other texts of a message.
func poison(m protoreflect.Message, change func(string) string) {
	m.Range(func(f protoreflect.FieldDescriptor, v protoreflect.Value) bool {
		switch {
		case f.IsMap():
		case f.Kind() == protoreflect.MessageKind && f.IsList():
			for i := range v.List().Len() {
				poison(v.List().Get(i).Message(), change)
			}
		case f.Kind() == protoreflect.MessageKind:
			poison(v.Message(), change)
		case harmless[f.Name()]:
		case f.Kind() == protoreflect.StringKind && f.IsList():
			for i := range v.List().Len() {
				v.List().Set(i, protoreflect.ValueOfString(change(v.List().Get(i).String())))
			}
		case f.Kind() == protoreflect.StringKind:
			m.Set(f, protoreflect.ValueOfString(change(v.String())))
		case f.Kind() == protoreflect.BytesKind:
			m.Set(f, protoreflect.ValueOfBytes([]byte(change(string(v.Bytes())))))
		}
		return true
	})
}

type poisonStream struct {
	grpc.ServerStream
	change func(string) string
}

func (s poisonStream) SendMsg(m any) error {
	one := proto.Clone(m.(proto.Message))
	poison(one.ProtoReflect(), s.change)
	return s.ServerStream.SendMsg(one)
}

// hostileStation serves a station in which every text is another one.
func hostileStation(t *testing.T, change func(string) string) func(*fakeStation) string {
	return func(f *fakeStation) string {
		socket := socketPath(t)
		serveAs(
			t, f, socket,
			grpc.UnaryInterceptor(func(ctx context.Context, r any, _ *grpc.UnaryServerInfo, handle grpc.UnaryHandler) (any, error) {
				answer, err := handle(ctx, r)
				if m, ok := answer.(proto.Message); ok && err == nil {
					m = proto.Clone(m)
					poison(m.ProtoReflect(), change)
					return m, nil
				}
				return answer, err
			}),
			grpc.StreamInterceptor(func(srv any, s grpc.ServerStream, _ *grpc.StreamServerInfo, handle grpc.StreamHandler) error {
				return handle(srv, poisonStream{s, change})
			}),
		)
		return socket
	}
}

// TestNoControlReachesTheTerminal: whatever a station has stored, no command writes a
// character on which a terminal acts, and none forges a row of a table. JSON keeps
// what is stored.
func TestNoControlReachesTheTerminal(t *testing.T) {
	shown := 0
	for command, u := range uses {
		if u.job == nil || u.talks {
			continue
		}
		for _, output := range app.Outputs {
			_, stdout, stderr := u.call(t, command, hostileStation(t, suffixed), "--output", output)
			for _, r := range stdout + stderr {
				if r != '\n' && (r < 0x20 || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e) && (r != '\t' || output != app.OutputCSV && command != "history file") {
					t.Errorf("%s as %s writes %q in\n%q", command, output, r, stdout+stderr)
					break
				}
			}
			switch {
			case output == app.OutputTable && strings.Contains(stdout+stderr, "\nforged row") && command != "history file":
				t.Errorf("%s has a forged row:\n%s", command, stdout)
			case output == app.OutputJSON:
				var value any
				decoder := json.NewDecoder(strings.NewReader(stdout))
				for decoder.Decode(&value) == nil {
					if has(value, hostile) {
						shown++
					}
				}
			}
		}
	}
	if shown < 15 {
		t.Errorf("only %d commands show the text in JSON as it is stored", shown)
	}
}

// TestNoCellIsAFormula: whatever a station has stored, no table that a command writes has a cell
// that a spreadsheet computes; numbers are such cells no more than they were.
func TestNoCellIsAFormula(t *testing.T) {
	guarded := 0
	for _, begin := range []string{"=1+", "+1+", "-1-", "@S", "\t=1+", "\r=1+"} {
		for command, u := range uses {
			if u.job == nil || u.talks {
				continue
			}
			_, stdout, _ := u.call(t, command, hostileStation(t, func(text string) string { return begin + text }), "--output", app.OutputCSV)
			rows := csv.NewReader(strings.NewReader(stdout))
			rows.FieldsPerRecord, rows.LazyQuotes = -1, true
			cells, err := rows.ReadAll()
			if err != nil {
				continue // of no table: a text or a picture
			}
			for _, row := range cells {
				for _, cell := range row {
					if _, err := strconv.ParseFloat(cell, 64); err != nil && strings.IndexAny(cell, "=+-@\t\r") == 0 {
						t.Errorf("%s writes %q", command, cell)
					}
					if strings.HasPrefix(cell, "'"+begin) {
						guarded++
					}
				}
			}
		}
	}
	if guarded < 100 {
		t.Errorf("only %d cells were guarded", guarded)
	}
}

func has(value any, text string) bool {
	switch v := value.(type) {
	case string:
		return strings.HasSuffix(v, text)
	case []any:
		for _, one := range v {
			if has(one, text) {
				return true
			}
		}
	case map[string]any:
		for _, one := range v {
			if has(one, text) {
				return true
			}
		}
	}
	return false
}

// TestSessionShowsNoControls: the conversation of job run neither.
func TestSessionShowsNoControls(t *testing.T) {
	f := newStation(clitest.VerdictJob("0.064"))
	socket := hostileStation(t, suffixed)(f)
	_, stdout, stderr := call(t, socket, "q\n", "job", "run", "--job", "3")
	if !strings.Contains(stdout, `\x1b]0;x\x07\u009b2J`) || strings.ContainsAny(stdout+stderr, "\x1b\a\r\u009b\u202e") {
		t.Errorf("%q, %q", stdout, stderr)
	}
}

// TestFilesShowNoControls: what is read from a file is shown the same way.
func TestFilesShowNoControls(t *testing.T) {
	file := checksFile(t, "time,error,master\n2026-01-01,0.001,\x1b[2J\n2026-02-01,0.002,\x1b[2J\n2026-03-01,0.002,\x1b[2J\n")
	_, stdout, stderr := call(t, "/nowhere", "", "drift", "--file", file)
	if strings.Contains(stdout+stderr, "\x1b") {
		t.Errorf("%q, %q", stdout, stderr)
	}
	if code, stdout, _ := call(t, "/nowhere", "", "check", "\x1b[2J"); code != app.ExitFailure || strings.Contains(stdout, "\x1b") {
		t.Errorf("exit %d, %q", code, stdout)
	}
}
