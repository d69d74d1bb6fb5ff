// Package vet tries a procedure as its file is read: whether its examples come out, its
// limits can be decided, its sums come to rest, and nothing in it seems forgotten.
package vet

import (
	"gauged/internal/evaluate"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/shopfile"
)

// ReadProcedure reads a procedure file and tries what it says. name is used in problems
// only. The error lists every problem with its place.
func ReadProcedure(name string, content []byte) (*procedure.Procedure, error) {
	return procedure.Read(name, content, evaluate.OutcomeWords(), try)
}

// try looks what comes of a procedure as its file m says it.
func try(p *procedure.Procedure, m *shopfile.Map) {
	answersInTime(p, m)
	fixedPoints(p, m)
	if rounds := m.Get("rounds"); rounds.IsMap() {
		roundsFixed(p, rounds.Map().Get("next"))
	}
}
