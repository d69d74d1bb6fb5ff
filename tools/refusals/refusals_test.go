package main

import (
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// TestPageIsFresh: the tables of docs/refusals.md are what the source and the catalogue say.
func TestPageIsFresh(t *testing.T) {
	before, err := os.ReadFile("../../" + page)
	if err != nil {
		t.Fatal(err)
	}
	after, err := written("../..", string(before))
	if err != nil {
		t.Fatal(err)
	}
	if after != string(before) {
		t.Error(page + " is not what the source says: run make generate")
	}
	for code, want := range map[string]int{`[A-Z0-9_]+`: 200, `[a-z0-9_]+`: 40, `[a-z_-]+\.[a-z0-9_.-]+`: 300} {
		if n := len(regexp.MustCompile("(?m)^\\| `"+code+"` \\|").FindAllString(after, -1)); n < want {
			t.Errorf("%d rows with a code like %s, want %d at least", n, code, want)
		}
	}
}

// TestStatusesAreTold: the page says what a program does at each status of the table.
func TestStatusesAreTold(t *testing.T) {
	content, err := os.ReadFile("../../" + page)
	if err != nil {
		t.Fatal(err)
	}
	byHand, tables, _ := strings.Cut(string(content), begin)
	var statuses []string
	for _, m := range regexp.MustCompile("(?m)^\\| `[A-Z0-9_]+` \\| ([A-Z_, ]+) \\|").FindAllStringSubmatch(tables, -1) {
		statuses = append(statuses, strings.Split(m[1], ", ")...)
	}
	slices.Sort(statuses)
	statuses = slices.Compact(statuses)
	for _, status := range statuses {
		if !strings.Contains(byHand, "\n| "+status+" |") {
			t.Errorf("%s does not say what a program does at %s", page, status)
		}
	}
	if len(statuses) < 8 {
		t.Errorf("only %v", statuses)
	}
}

// TestNoPageWithoutItsMark: a page that has lost the line is not overwritten.
func TestNoPageWithoutItsMark(t *testing.T) {
	if _, err := written("../..", "# Refusals\n"); err == nil || !strings.Contains(err.Error(), "make generate writes") {
		t.Error(err)
	}
}
