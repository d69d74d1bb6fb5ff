package evaluate

import (
	"fmt"
	"math"
	"math/big"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// packProblem is one pack to be found, for our search and for a general solver
// of integer programs.
type packProblem struct {
	name      string
	procedure *procedure.Procedure
	family    *procedure.Family
	input     compute.Input
	twiceAim  gauge.Length
}

// answer is what both must agree on.
type answer struct {
	pieces   int
	distance gauge.Length // twice the distance of the sum to the aim
	thinner  gauge.Length // the nearest sums when nothing fits; 0 where there is none
	thicker  gauge.Length
}

// packProblems makes problems from the kits in testdata/packs and from random
// kits with stock limits, the same at every run.
func packProblems(t testing.TB, each, random int) []packProblem {
	t.Helper()
	files, err := filepath.Glob("../../testdata/packs/*.yaml")
	if err != nil || len(files) == 0 {
		t.Fatalf("no kits in testdata/packs: %v", err)
	}
	rnd := rand.New(rand.NewPCG(1, 2))
	var problems []packProblem
	for _, file := range files {
		content, err := os.ReadFile(file)
		if err != nil {
			t.Fatal(err)
		}
		f, err := procedure.ReadFamily(file, content)
		if err != nil {
			t.Fatal(err)
		}
		for i := range each {
			problems = append(problems, newPackProblem(t, rnd, fmt.Sprintf("%s %d", f.ID, i), f))
		}
	}
	for i := range random {
		problems = append(problems, newPackProblem(t, rnd, fmt.Sprint("random ", i), randomKit(rnd)))
	}
	return problems
}

// randomKit has up to 40 grades in steps of 1 to 30 um, one in two counted.
func randomKit(rnd *rand.Rand) *procedure.Family {
	f := &procedure.Family{ID: "kit", Unit: gauge.Millimetre}
	at := gauge.Length(50+rnd.IntN(1000)) * 1e6
	for i := range 2 + rnd.IntN(39) {
		thickness := at
		g := procedure.Grade{Part: fmt.Sprint("g", i), Thickness: &thickness}
		if rnd.IntN(2) == 0 {
			stock := rnd.IntN(4)
			g.Stock = &stock
		}
		f.Grades = append(f.Grades, g)
		at += gauge.Length(1+rnd.IntN(30)) * 1e6
	}
	return f
}

// newPackProblem asks for a pack of a few pieces, in a window of 0 to 4 of the
// family's smallest steps.
func newPackProblem(t testing.TB, rnd *rand.Rand, name string, f *procedure.Family) packProblem {
	t.Helper()
	var step, sum gauge.Length
	for _, g := range f.Grades {
		step = commonStep(*g.Thickness, step)
	}
	least := 1 + rnd.IntN(3)
	most := least + rnd.IntN(8)
	for range least + rnd.IntN(most-least+1) {
		sum += *f.Grades[rnd.IntN(len(f.Grades))].Thickness
	}
	window := step * gauge.Length(rnd.IntN(5))
	aim := []string{"middle", "thickest", "thinnest"}[rnd.IntN(3)]
	p, err := readProcedure("p.yaml", fmt.Appendf(nil, "procedure: p\ntitle: t\nunit: %s\nmeasure: {g: {title: gap}}\ngap: g\nallow: {play: {min: 0, max: %s}}\nparts: %s\nchoose: {method: %s, pack: {least: %d, most: %d}}\n",
		f.Unit, procedure.Shortest(window, f.Unit), f.ID, aim, least, most))
	if err != nil {
		t.Fatal(err)
	}
	return packProblem{
		name: name, procedure: p, family: f,
		input:    compute.Input{Readings: []procedure.Reading{{Measurement: "g", Value: sum, Shown: procedure.Shortest(sum, f.Unit), Unit: f.Unit}}},
		twiceAim: map[string]gauge.Length{"middle": 2*sum - window, "thickest": 2 * sum, "thinnest": 2 * (sum - window)}[aim],
	}
}

// ours is the answer of this package.
func (p packProblem) ours(t testing.TB) answer {
	t.Helper()
	e, err := Evaluate(p.procedure, p.family, p.input)
	if err != nil {
		t.Fatal(err)
	}
	if e.Pack != nil {
		addUp(t, e.Pack)
		return answer{pieces: len(e.Pack.Pieces), distance: (2*e.Pack.Thickness - p.twiceAim).Abs()}
	}
	a := answer{}
	if e.PackThinner != nil {
		addUp(t, e.PackThinner)
		a.thinner = e.PackThinner.Thickness
	}
	if e.PackThicker != nil {
		addUp(t, e.PackThicker)
		a.thicker = e.PackThicker.Thickness
	}
	return a
}

// solved is the answer of the solver: the fewest pieces, then the sums of so
// many on both sides of the aim.
func (p packProblem) solved(t testing.TB, dir string) answer {
	t.Helper()
	low, high := p.window()
	rule := p.rule()
	fewest, ok := p.solve(t, dir, program{goal: "Minimize", of: p.pieces(), rule: rule, low: low, high: high})
	if ok {
		rule = procedure.PackRule{Least: int(fewest), Most: int(fewest)}
		a := answer{pieces: int(fewest), distance: -1}
		for _, side := range []program{
			{goal: "Maximize", of: p.sum(), rule: rule, low: low, high: p.twiceAim / 2},
			{goal: "Minimize", of: p.sum(), rule: rule, low: (p.twiceAim + 1) / 2, high: high},
		} {
			if sum, ok := p.solve(t, dir, side); ok {
				if d := (2*gauge.Length(sum)*p.unit() - p.twiceAim).Abs(); a.distance < 0 || d < a.distance {
					a.distance = d
				}
			}
		}
		return a
	}
	thinner, _ := p.solve(t, dir, program{goal: "Maximize", of: p.sum(), rule: rule, high: low})
	thicker, _ := p.solve(t, dir, program{goal: "Minimize", of: p.sum(), rule: rule, low: high, high: gauge.MaxLength})
	return answer{thinner: gauge.Length(thinner) * p.unit(), thicker: gauge.Length(thicker) * p.unit()}
}

// program asks for the extreme of a linear form among the packs whose number
// of pieces and sum are within bounds.
type program struct {
	goal, of  string
	rule      procedure.PackRule
	low, high gauge.Length
}

func (p packProblem) rule() procedure.PackRule { return *p.procedure.Choose.Pack }

func (p packProblem) window() (low, high gauge.Length) {
	high = p.input.Readings[0].Value
	return max(high-*p.procedure.Allowed.Max, 0), high
}

// unit is the greatest length of which all thicknesses are multiples.
func (p packProblem) unit() (unit gauge.Length) {
	for _, g := range p.family.Grades {
		unit = commonStep(*g.Thickness, unit)
	}
	return unit
}

// sum and pieces are linear forms of the pieces of each grade.
func (p packProblem) sum() string {
	var b strings.Builder
	for i, g := range p.family.Grades {
		fmt.Fprintf(&b, " + %d x%d", *g.Thickness/p.unit(), i)
	}
	return b.String()
}

func (p packProblem) pieces() string {
	var b strings.Builder
	for i := range p.family.Grades {
		fmt.Fprintf(&b, " + x%d", i)
	}
	return b.String()
}

// text writes the program in the CPLEX LP format.
func (p packProblem) text(asked program) string {
	unit := p.unit()
	var b strings.Builder
	fmt.Fprintf(&b, "%s\n obj:%s\nSubject To\n", asked.goal, asked.of)
	fmt.Fprintf(&b, " least:%s >= %d\n most:%s <= %d\n", p.pieces(), asked.rule.Least, p.pieces(), asked.rule.Most)
	fmt.Fprintf(&b, " low:%s >= %d\n high:%s <= %d\nBounds\n", p.sum(), (asked.low+unit-1)/unit, p.sum(), asked.high/unit)
	for i, g := range p.family.Grades {
		most := p.rule().Most
		if g.Stock != nil {
			most = min(most, *g.Stock)
		}
		fmt.Fprintf(&b, " 0 <= x%d <= %d\n", i, most)
	}
	b.WriteString("General\n")
	for i := range p.family.Grades {
		fmt.Fprintf(&b, " x%d\n", i)
	}
	b.WriteString("End\n")
	return b.String()
}

// solve runs glpsol of the GNU Linear Programming Kit, and returns the
// optimum, or 0 and false when nothing is feasible.
func (p packProblem) solve(t testing.TB, dir string, asked program) (optimum int64, ok bool) {
	t.Helper()
	in, out := filepath.Join(dir, "pack.lp"), filepath.Join(dir, "pack.out")
	if err := os.WriteFile(in, []byte(p.text(asked)), 0o600); err != nil {
		t.Fatal(err)
	}
	said, err := exec.Command("glpsol", "--gomory", "--mir", "--lp", in, "--tmlim", "30", "-w", out).CombinedOutput()
	if err != nil {
		t.Fatalf("%s: glpsol (Debian package glpk-utils, see make setup): %v\n%s", p.name, err, said)
	}
	if slices.ContainsFunc([]string{"NO INTEGER FEASIBLE", "NO PRIMAL FEASIBLE"}, func(text string) bool { return strings.Contains(string(said), text) }) {
		return 0, false
	}
	content, err := os.ReadFile(out)
	if err != nil {
		t.Fatal(err)
	}
	for line := range strings.Lines(string(content)) { // s mip ROWS COLUMNS STATUS OBJECTIVE
		if f := strings.Fields(line); len(f) == 6 && f[0] == "s" && f[4] == "o" {
			if x, err := strconv.ParseFloat(f[5], 64); err == nil && math.Abs(x-math.Round(x)) < 1e-6 {
				return int64(math.Round(x)), true
			}
		}
	}
	t.Fatalf("%s: glpsol found no optimum:\n%s\n%s", p.name, said, content)
	return 0, false
}

// TestPacksAgreeWithSolver: pieces and distance to the aim, or the nearest sums
// when nothing fits, are those of a general solver.
func TestPacksAgreeWithSolver(t *testing.T) {
	dir := t.TempDir()
	fit := 0
	problems := packProblems(t, 4, 12)
	for _, p := range problems {
		ours, solved := p.ours(t), p.solved(t, dir)
		if ours != solved {
			t.Errorf("%s: %+v, the solver found %+v", p.name, ours, solved)
		}
		if ours.pieces > 0 {
			fit++
		}
	}
	if fit < len(problems)/3 || fit == len(problems) {
		t.Errorf("%d of %d problems have a pack: both kinds are needed", fit, len(problems))
	}
}

// BenchmarkPackSearch and BenchmarkPackSolver give the time for one problem of
// the same 120; the second with the start of a process and a file each time.
func BenchmarkPackSearch(b *testing.B) {
	problems := packProblems(b, 10, 50)
	for i := 0; b.Loop(); i++ {
		problems[i%len(problems)].ours(b)
	}
}

func BenchmarkPackSolver(b *testing.B) {
	dir := b.TempDir()
	problems := packProblems(b, 10, 50)
	for i := 0; b.Loop(); i++ {
		p := problems[i%len(problems)]
		if ours, solved := p.ours(b), p.solved(b, dir); ours != solved {
			b.Fatalf("%s: %+v, the solver found %+v", p.name, ours, solved)
		}
	}
}

// commonStep is the greatest length of which both are multiples.
func commonStep(a, b gauge.Length) gauge.Length {
	return gauge.Length(new(big.Int).GCD(nil, nil, big.NewInt(int64(a)), big.NewInt(int64(b))).Int64())
}
