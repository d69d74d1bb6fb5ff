// Package order says in which order the readings of a study are taken at the
// bench: what is measured, by whom, and in which trial.
package order

import (
	"math/rand/v2"
	"slices"
	"strconv"
	"strings"

	"gauged/internal/gauge"
	"gauged/internal/health/study"
)

// Kinds are the kinds of studies that are measured at the bench.
var Kinds = []study.Kind{study.CrossedKind, study.NestedKind, study.BiasKind, study.LinearityKind, study.StabilityKind, study.CapabilityKind}

// The numbers that are taken where nothing is said.
const (
	usualTrials = 3
	usualAtOne  = 25 // trials at one master
	most        = 1000
	mostSteps   = 10_000
)

// Plan is what a study is to measure.
type Plan struct {
	Kind      study.Kind
	Parts     string   // how many (of each person, when nested), or their names with commas
	Persons   []string // who measures
	Masters   []string // that are measured instead of parts
	Reference string   // reference value of what is measured, instead of a master; decimal text
	Tolerance string   // its width, decimal text; empty: none
	Trials    int      // how often each part, or each master, is measured; 0: as usual
	Seed      uint64   // of the order in each round; 0: as they are numbered
}

// Step is one reading that is wanted.
type Step struct {
	Part, Person, Trial string
	Master, Reference   string // of what is no part
}

// Steps are the readings in the order in which they are taken: in each trial each
// person measures all parts, or all masters are measured. The error says what
// cannot become a study, before anything is measured.
func (p Plan) Steps() ([]Step, error) {
	if !slices.Contains(Kinds, p.Kind) {
		return nil, gauge.WrongInput("refusal.plan.kind", gauge.Text("given", string(p.Kind)))
	}
	if p.Trials < 0 || p.Trials > most {
		return nil, gauge.WrongInput("refusal.plan.trials", gauge.Count("count", p.Trials), gauge.Count("most", most))
	}
	if p.Kind == study.CrossedKind || p.Kind == study.NestedKind {
		return p.byPerson()
	}
	return p.byMaster()
}

// byPerson has each person measure all parts in each round.
func (p Plan) byPerson() (steps []Step, err error) {
	parts, err := partNames(p.Parts)
	if err != nil {
		return nil, err
	}
	trials := p.Trials
	if trials == 0 {
		trials = usualTrials
	}
	switch {
	case len(p.Persons) == 0:
		return nil, gauge.WrongInput("refusal.plan.who")
	case !distinct(p.Persons):
		return nil, gauge.WrongInput("refusal.plan.persons-twice", gauge.Text("given", strings.Join(p.Persons, ",")))
	case len(p.Masters) > 0 || p.Reference != "":
		return nil, gauge.WrongInput("refusal.plan.no-masters", gauge.WordOf("given", "study.of", p.Kind))
	case trials < 2 || len(parts) < 2:
		return nil, gauge.WrongInput("refusal.plan.two-of-each", gauge.Count("parts", len(parts)), gauge.Count("trials", trials), gauge.WordOf("given", "study.of", p.Kind))
	}
	mix := shuffler(p.Seed)
	for trial := range trials {
		for _, person := range p.Persons {
			for _, part := range mix(parts) {
				if p.Kind == study.NestedKind {
					part = person + "-" + part
				}
				steps = append(steps, Step{Part: part, Person: person, Trial: strconv.Itoa(trial + 1)})
			}
		}
		if len(steps) > mostSteps {
			return nil, gauge.WrongInput("refusal.plan.too-many", gauge.Count("most", mostSteps))
		}
	}
	return steps, nil
}

// leastReadings are those without which a study is refused in the end.
var leastReadings = map[study.Kind]int{study.BiasKind: 2, study.LinearityKind: 4, study.StabilityKind: 8, study.CapabilityKind: 10}

// byMaster has all masters measured in each round.
func (p Plan) byMaster() (steps []Step, err error) {
	trials := p.Trials
	switch {
	case (len(p.Masters) > 0) == (p.Reference != ""):
		return nil, gauge.WrongInput("refusal.plan.what")
	case !distinct(p.Masters):
		return nil, gauge.WrongInput("refusal.plan.masters-twice", gauge.Text("given", strings.Join(p.Masters, ",")))
	case len(p.Persons) > 0:
		return nil, gauge.WrongInput("refusal.plan.no-persons", gauge.WordOf("given", "study.of", p.Kind))
	case trials == 0 && len(p.Masters) < 2:
		trials = usualAtOne
	case trials == 0:
		trials = usualTrials
	}
	mix := shuffler(p.Seed)
	for trial := range trials {
		if p.Reference != "" {
			steps = append(steps, Step{Reference: p.Reference, Trial: strconv.Itoa(trial + 1)})
		}
		for _, m := range mix(p.Masters) {
			steps = append(steps, Step{Master: m, Trial: strconv.Itoa(trial + 1)})
		}
	}
	switch least := leastReadings[p.Kind]; {
	case len(steps) < least:
		return nil, gauge.WrongInput("refusal.plan.few-readings", gauge.Count("count", len(steps)), gauge.WordOf("given", "study.of", p.Kind), gauge.Count("need", least))
	case p.Kind == study.LinearityKind && len(p.Masters) < 3:
		return nil, gauge.WrongInput("refusal.plan.linearity-masters")
	case p.Kind == study.CapabilityKind && p.Tolerance == "":
		return nil, gauge.WrongInput("refusal.figures.no-tolerance")
	}
	return steps, nil
}

// partNames are the names of the parts, or the numbers up to a count.
func partNames(text string) ([]string, error) {
	n, err := strconv.Atoi(text)
	if err != nil {
		names := Names(text)
		if len(names) == 0 || !distinct(names) || slices.Contains(names, "") {
			return nil, gauge.WrongInput("refusal.plan.parts-twice", gauge.Text("given", text))
		}
		return names, nil
	}
	if n < 1 || n > most {
		return nil, gauge.WrongInput("refusal.plan.parts", gauge.Count("count", n), gauge.Count("most", most))
	}
	var names []string
	for i := range n {
		names = append(names, strconv.Itoa(i+1))
	}
	return names, nil
}

// Names are names that were written with commas.
func Names(text string) (names []string) {
	if strings.TrimSpace(text) == "" {
		return nil
	}
	for name := range strings.SplitSeq(text, ",") {
		names = append(names, strings.TrimSpace(name))
	}
	return names
}

func distinct(names []string) bool {
	return len(slices.Compact(slices.Sorted(slices.Values(names)))) == len(names)
}

// shuffler puts things into an order that the seed repeats; seed 0 leaves them.
func shuffler(seed uint64) func([]string) []string {
	pcg := rand.New(rand.NewPCG(seed, 0))
	return func(all []string) []string {
		mixed := slices.Clone(all)
		if seed != 0 {
			pcg.Shuffle(len(mixed), func(i, k int) { mixed[i], mixed[k] = mixed[k], mixed[i] })
		}
		return mixed
	}
}
