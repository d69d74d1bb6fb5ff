package show

import (
	"maps"
	"slices"
	"strings"
)

// LabelsText lists the labels of a job.
func LabelsText(labels map[string]string) string {
	var said []string
	for _, name := range slices.Sorted(maps.Keys(labels)) {
		said = append(said, name+" "+labels[name])
	}
	return strings.Join(said, ", ")
}
