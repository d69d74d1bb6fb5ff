package job

import (
	"fmt"
	"io"
	"slices"
	"strings"

	"gauged/internal/cli/show"

	pb "gauged/api/gauged/v1"
)

// renderWarnings writes warnings of a job, and below them what is to be done, each once.
func renderWarnings(w io.Writer, warnings []*pb.Message) {
	var remedies []string
	for _, warning := range warnings {
		fmt.Fprintf(w, "! %s\n", show.Told(warning))
		if remedy := show.RemedyFor(warning); remedy != "" && !slices.Contains(remedies, remedy) {
			remedies = append(remedies, remedy)
		}
	}
	for remedy := range strings.Lines(strings.Join(remedies, "")) {
		fmt.Fprint(w, "  "+remedy)
	}
}

// newWarnings are those that no earlier command told: none of what was known at the start
// is told again.
func newWarnings(j *pb.Job) []*pb.Message {
	return j.GetWarnings()[min(int(j.GetToldWarningCount()), len(j.GetWarnings())):]
}

// untold are those warnings that were not told yet, and notes that they are.
func untold(told map[string]bool, warnings []*pb.Message) (fresh []*pb.Message) {
	for _, m := range warnings {
		if text := show.Told(m); !told[text] {
			told[text] = true
			fresh = append(fresh, m)
		}
	}
	return fresh
}
