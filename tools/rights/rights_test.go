package main

import (
	"os"
	"strings"
	"testing"
)

// TestPageIsFresh: the table of docs/access.md is what the program says.
func TestPageIsFresh(t *testing.T) {
	before, err := os.ReadFile("../../" + page)
	if err != nil {
		t.Fatal(err)
	}
	after, err := written(string(before))
	if err != nil {
		t.Fatal(err)
	}
	if after != string(before) {
		t.Error(page + " is not what the source says: run make generate")
	}
	for _, row := range []string{
		"| `/gauged.v1.HealthService/SetStanding` | quality, administrator | yes |",
		"| `POST /jobs/{id}/take` | technician, quality, administrator |  |",
		"| `GET /healthz` | anybody |  |",
	} {
		if !strings.Contains(after, "\n"+row+"\n") {
			t.Errorf("there is no row %s", row)
		}
	}
	if _, err := written("# Access\n"); err == nil {
		t.Error("a page that has lost its line is written over")
	}
}
