// Package figures shows the rates that the program claims - false alarms,
// detection, coverage of intervals, passes at a limit - each with the
// simulation behind it. `make figures` runs all of them and writes
// docs/figures.md; the test of this package runs the quick part of each and
// holds what is promised.
//
// A subject is one file here, which registers itself:
//
//	func init() {
//		add(subject{
//			name: "Drift and the date of the limit",
//			about: "What is simulated, with which numbers, in a few lines of Markdown.",
//			run: func(quick bool) []row {
//				runs := pick(quick, 1000, 40000)
//				held := count(runs, 9, func(random *rand.Rand) bool { ... })
//				return []row{{
//					what:    "the 95 % interval of the date holds the true date",
//					promise: "95 %, at least 94 %", low: 0.94, high: 0.965,
//					found:   share(held, runs),
//					source:  "seed 9",
//				}}
//			},
//		})
//	}
//
// quick takes the same rows from fewer runs: together less than a few seconds
// for a subject, and under three minutes on two cores for everything without
// quick. What is asked for once (a table of 8 columns) is one row for each
// number. The bounds low and high are those of the promise itself; how far chance may
// carry the figure beyond them follows from its own standard error. [count] gives the
// same numbers on any machine: the draws depend on the seed alone. Give each row
// a seed of its own. A figure from a table or a standard names it as its source.
package main

import (
	"cmp"
	"fmt"
	"math"
	"math/rand/v2"
	"runtime"
	"slices"
	"strings"
	"sync"
)

// subject is a section of docs/figures.md.
type subject struct {
	name, about string
	run         func(quick bool) []row
}

// row is one claim and what was found of it.
type row struct {
	what      string  // the claim, in words
	promise   string  // what is promised or published, in words
	low, high float64 // between which the promise lies, in the unit of the figure: a share from 0 to 1
	found     figure
	source    string // the seed of a simulation, and the published source where there is one
}

// figure is a share or a mean from simulated runs.
type figure struct {
	value, standardError float64
	runs                 int // 0: computed, not simulated
	percent              bool
}

// share is that of hits among runs. Its standard error is that of the figure
// itself, with one hit more and one miss more, so that it is never 0.
func share(hits, runs int) figure {
	n := float64(runs)
	p := (float64(hits) + 1) / (n + 2)
	return figure{value: float64(hits) / n, standardError: math.Sqrt(p * (1 - p) / n), runs: runs, percent: true}
}

// mean is that of simulated numbers.
func mean(values []float64) figure {
	sum, squares, n := 0.0, 0.0, float64(len(values))
	for _, v := range values {
		sum += v
	}
	for _, v := range values {
		squares += (v - sum/n) * (v - sum/n)
	}
	return figure{value: sum / n, standardError: math.Sqrt(squares / (n - 1) / n), runs: len(values)}
}

// chance is how many standard errors a figure may be beyond its promise.
const chance = 3

// kept says that the promise is kept, as far as the runs tell.
func (r row) kept() bool {
	slack := chance * r.found.standardError
	return r.found.value >= r.low-slack && r.found.value <= r.high+slack
}

func (f figure) String() string {
	if f.percent {
		return fmt.Sprintf("%.2f %%", 100*f.value)
	}
	return fmt.Sprintf("%.4g", f.value)
}

// subjects are filled by the files of this package.
var subjects []subject

func add(s subject) { subjects = append(subjects, s) }

// sorted are the subjects in the order of the document.
func sorted() []subject {
	return slices.SortedFunc(slices.Values(subjects), func(a, b subject) int { return cmp.Compare(a.name, b.name) })
}

func pick(quick bool, few, many int) int {
	if quick {
		return few
	}
	return many
}

// parts is into how many streams the draws of one simulation are divided.
const parts = 16

// draws runs a simulation on every core and returns what each run gave, in order. The
// numbers drawn depend on seed and run alone.
func draws[T any](runs int, seed uint64, one func(random *rand.Rand) T) []T {
	out := make([]T, runs)
	next := make(chan int)
	var wait sync.WaitGroup
	for range runtime.GOMAXPROCS(0) {
		wait.Go(func() {
			for part := range next {
				random := rand.New(rand.NewPCG(seed, uint64(part)))
				for i := part; i < runs; i += parts {
					out[i] = one(random)
				}
			}
		})
	}
	for part := range parts {
		next <- part
	}
	close(next)
	wait.Wait()
	return out
}

// count is how many runs of a simulation gave true.
func count(runs int, seed uint64, one func(random *rand.Rand) bool) (hits int) {
	for _, hit := range draws(runs, seed, one) {
		if hit {
			hits++
		}
	}
	return hits
}

// section writes a subject as Markdown.
func (s subject) section(rows []row) string {
	var b strings.Builder
	fmt.Fprintf(&b, "## %s\n\n%s\n\n| claim | promised | found | runs | seed, source |\n|---|---|---|---|---|\n", s.name, strings.TrimSpace(s.about))
	for _, r := range rows {
		runs := "computed"
		if r.found.runs > 0 {
			runs = fmt.Sprint(r.found.runs)
		}
		fmt.Fprintf(&b, "| %s | %s | %s | %s | %s |\n", r.what, r.promise, r.found, runs, r.source)
	}
	return b.String()
}
