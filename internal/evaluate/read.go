package evaluate

import (
	"gauged/internal/evaluate/procedure"
	"gauged/internal/shopfile"
)

// ReadProcedure reads a procedure file and tries what it says. name is used in problems
// only. The error lists every problem with its place.
func ReadProcedure(name string, content []byte) (*procedure.Procedure, error) {
	return procedure.Read(name, content, outcomeWords(), try)
}

// ReadStoredProcedure reads a version that was in force once, for the jobs that
// were begun with it. What it says is not tried again.
func ReadStoredProcedure(name string, content []byte) (*procedure.Procedure, error) {
	return procedure.Read(name, content, outcomeWords(), nil)
}

func outcomeWords() []string {
	words := make([]string, len(Outcomes))
	for i, o := range Outcomes {
		words[i] = string(o)
	}
	return words
}

// try looks what comes of a procedure as its file m says it.
func try(p *procedure.Procedure, m *shopfile.Map) {
	answersInTime(p, m)
	fixedPoints(p, m)
	if rounds := m.Get("rounds"); rounds.IsMap() {
		roundsFixed(p, rounds.Map().Get("next"))
	}
}
