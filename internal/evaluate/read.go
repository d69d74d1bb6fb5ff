package evaluate

import "gauged/internal/evaluate/procedure"

// ReadStoredProcedure reads a version that was in force once, for the jobs that
// were begun with it. What it says is not tried again.
func ReadStoredProcedure(name string, content []byte) (*procedure.Procedure, error) {
	return procedure.Read(name, content, OutcomeWords(), nil)
}

// OutcomeWords are the outcomes as procedures write them.
func OutcomeWords() []string {
	words := make([]string, len(Outcomes))
	for i, o := range Outcomes {
		words[i] = string(o)
	}
	return words
}
