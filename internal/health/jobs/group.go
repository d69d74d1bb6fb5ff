package jobs

import (
	"cmp"
	"maps"
	"slices"
	"strings"
)

// maxGroup is how many gauges one filter holds at most; its cost for each gauge
// grows with the square of this.
const maxGroup = 16

// link is the set of gauges that some residuals have in common.
type link struct {
	gauges    []string // sorted
	residuals []int    // indices of the residuals
}

// links sorts the residuals by the set of their gauges, the most frequent first.
func links(residuals []Residual) []link {
	byKey := map[string]*link{}
	for i, r := range residuals {
		gauges := make([]string, len(r.Terms))
		for j, t := range r.Terms {
			gauges[j] = t.Gauge
		}
		slices.Sort(gauges)
		key := strings.Join(gauges, "\x00")
		l := byKey[key]
		if l == nil {
			l = &link{gauges: gauges}
			byKey[key] = l
		}
		l.residuals = append(l.residuals, i)
	}
	all := make([]link, 0, len(byKey))
	for _, key := range slices.Sorted(maps.Keys(byKey)) {
		all = append(all, *byKey[key])
	}
	slices.SortStableFunc(all, func(a, b link) int { return cmp.Compare(len(b.residuals), len(a.residuals)) })
	return all
}

// cluster is what goes into one filter.
type cluster struct {
	gauges    map[string]bool
	residuals []int
}

// clusters puts each link into one cluster. What hangs together stays together
// unless it is larger than most.
func clusters(all []link, most int) []cluster {
	parent := map[string]string{}
	var root func(string) string
	root = func(g string) string {
		if p, ok := parent[g]; ok && p != g {
			parent[g] = root(p)
			return parent[g]
		}
		parent[g] = g
		return g
	}
	for _, l := range all {
		for _, g := range l.gauges[1:] {
			parent[root(g)] = root(l.gauges[0])
		}
	}
	together := map[string][]link{}
	for _, l := range all {
		r := root(l.gauges[0])
		together[r] = append(together[r], l)
	}
	var done []cluster
	for _, r := range slices.Sorted(maps.Keys(together)) {
		done = append(done, packed(together[r], most)...)
	}
	return done
}

// packed puts links into clusters of at most so many gauges, each where it adds
// the fewest; a link that alone has more is a cluster of its own.
func packed(all []link, most int) []cluster {
	var done []cluster
	gauges := map[string]bool{}
	for _, l := range all {
		for _, g := range l.gauges {
			gauges[g] = true
		}
	}
	if len(gauges) <= most {
		most = len(gauges)
		done = append(done, cluster{gauges: gauges})
	}
	for _, l := range all {
		best, fewest := -1, len(l.gauges)+1
		for i, c := range done {
			added := 0
			for _, g := range l.gauges {
				if !c.gauges[g] {
					added++
				}
			}
			if added < fewest && len(c.gauges)+added <= most {
				best, fewest = i, added
			}
		}
		if best < 0 {
			done = append(done, cluster{gauges: map[string]bool{}})
			best = len(done) - 1
		}
		for _, g := range l.gauges {
			done[best].gauges[g] = true
		}
		done[best].residuals = append(done[best].residuals, l.residuals...)
	}
	return done
}
