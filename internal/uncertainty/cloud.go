package uncertainty

import (
	"cmp"
	"encoding/binary"
	"math"
	"slices"
	"sort"
)

// Draws keeps what a Monte Carlo run draws, for many budgets: what is drawn
// depends only on the shapes of the contributions and on the seed, and their
// sizes are applied later. It belongs to one goroutine.
type Draws struct {
	count    int
	seed     uint64
	clouds   map[string]*cloud
	dominant map[string]int
	samples  map[string]*keptSample
	made     int // how many of samples are there
}

// keptSample is the sample of a budget that was asked for often, sorted.
type keptSample struct {
	asked  int
	sorted []float64
}

// What a Draws keeps at most. A cloud holds 8 bytes for each draw and part, a
// sample 8 for each draw; it is made when it was asked for oftenEnough.
const (
	keptClouds   = 16
	keptDominant = 4096
	keptSamples  = 16
	oftenEnough  = 200
)

// NewDraws is for samples as Budget.MonteCarlo draws them with that count and seed.
func NewDraws(count int, seed uint64) *Draws {
	return &Draws{count: max(count, 0), seed: seed, clouds: map[string]*cloud{}, dominant: map[string]int{}, samples: map[string]*keptSample{}}
}

// Probability is what Budget.MonteCarlo and Sample.Probability give, to the bit.
func (d *Draws) Probability(b Budget, low, high float64) float64 {
	parts := mergeNormal(b.Contributions)
	if s := d.sample(parts); s.sorted != nil {
		from, _ := slices.BinarySearch(s.sorted, low)
		to := sort.Search(len(s.sorted), func(i int) bool { return s.sorted[i] > high })
		return float64(max(0, to-from)) / float64(d.count)
	}
	return float64(d.cloud(parts).inside(parts, low, high)) / float64(d.count)
}

// sample is the one of equal contributions.
func (d *Draws) sample(parts []Contribution) *keptSample {
	key := appendShapes(nil, parts)
	for _, c := range parts {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(c.Contribution))
	}
	s := d.samples[string(key)]
	if s == nil {
		if len(d.samples) >= keptDominant {
			clear(d.samples)
			d.made = 0
		}
		s = &keptSample{}
		d.samples[string(key)] = s
	}
	if s.asked++; s.asked == oftenEnough && d.made < keptSamples {
		d.made++
		c := d.cloud(parts)
		s.sorted = make([]float64, d.count)
		for start := 0; start < d.count; start += boxed {
			sum(s.sorted[start:min(start+boxed, d.count)], parts, c.points, start)
		}
		slices.Sort(s.sorted)
	}
	return s
}

func appendShapes(key []byte, parts []Contribution) []byte {
	for _, c := range parts {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(c.freedom()))
		key = append(append(key, c.Distribution...), 0)
	}
	return key
}

// Dominant is Budget.Dominant, which is computed once for equal contributions.
func (d *Draws) Dominant(b Budget) (Contribution, bool) {
	var key []byte
	for _, c := range b.Contributions {
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(c.Contribution))
		key = binary.LittleEndian.AppendUint64(key, math.Float64bits(c.Freedom))
		key = append(append(key, c.Distribution...), 0)
	}
	index, known := d.dominant[string(key)]
	if !known {
		index = b.dominant()
		if len(d.dominant) == keptDominant {
			clear(d.dominant)
		}
		d.dominant[string(key)] = index
	}
	if index < 0 {
		return Contribution{}, false
	}
	return b.Contributions[index], true
}

func (d *Draws) cloud(parts []Contribution) *cloud {
	key := appendShapes(nil, parts)
	known := d.clouds[string(key)]
	if known == nil {
		if len(d.clouds) == keptClouds {
			clear(d.clouds)
		}
		known = newCloud(parts, d.count, d.seed)
		d.clouds[string(key)] = known
	}
	return known
}

// cloud is drawn deviates as points, one axis for each part of a budget. Points
// near each other stand together in boxes: of most boxes all points are inside
// the limits, or none is.
type cloud struct {
	count       int
	points      [][]float64 // by part
	least, most [][]float64 // of each box, by part
}

// boxed is how many points are in a box.
const boxed = 64

func newCloud(parts []Contribution, count int, seed uint64) *cloud {
	d := newDrawer(seed)
	c := &cloud{count: count, points: make([][]float64, len(parts))}
	for i := range c.points {
		c.points[i] = make([]float64, count)
	}
	for start := 0; start < count; start += block { // as MonteCarlo does
		for i, p := range parts {
			d.fill(c.points[i][start:min(start+block, count)], p.Input)
		}
	}
	order := make([]int32, count)
	for i := range order {
		order[i] = int32(i)
	}
	c.gather(order, 0)
	for i, drawn := range c.points {
		moved := make([]float64, count)
		for k, from := range order {
			moved[k] = drawn[from]
		}
		c.points[i] = moved
	}
	c.box(count)
	return c
}

// gather sorts points along an axis, cuts them into slabs, and each slab along
// the next axis. The sizes are whole boxes.
func (c *cloud) gather(order []int32, axis int) {
	if axis == len(c.points) || len(order) <= boxed {
		return
	}
	x := c.points[axis]
	slices.SortFunc(order, func(a, b int32) int { return cmp.Compare(x[a], x[b]) })
	boxes := float64(len(order)) / boxed
	slabs := math.Ceil(math.Pow(boxes, 1/float64(len(c.points)-axis)))
	size := int(math.Ceil(boxes/slabs)) * boxed
	for slab := range slices.Chunk(order, size) {
		c.gather(slab, axis+1)
	}
}

// box finds the ends of the boxes along each axis.
func (c *cloud) box(count int) {
	c.least, c.most = make([][]float64, len(c.points)), make([][]float64, len(c.points))
	for i, x := range c.points {
		for start := 0; start < count; start += boxed {
			part := x[start:min(start+boxed, count)]
			c.least[i] = append(c.least[i], slices.Min(part))
			c.most[i] = append(c.most[i], slices.Max(part))
		}
	}
}

// inside counts the points whose sum of deviations lies between low and high.
// Sums are made as MonteCarlo makes them. Contributions are not negative and
// rounding keeps order, so no sum of a box is outside the sums of its ends.
func (c *cloud) inside(parts []Contribution, low, high float64) (count int) {
	total := c.count
	var least, most, sums [boxed]float64
	boxes := (total + boxed - 1) / boxed
	for first := 0; first < boxes; first += boxed { // as many boxes at once as a box has points
		n := min(boxed, boxes-first)
		sum(least[:n], parts, c.least, first)
		sum(most[:n], parts, c.most, first)
		for i := range n {
			start := (first + i) * boxed
			end := min(start+boxed, total)
			switch {
			case low <= least[i] && most[i] <= high:
				count += end - start
			case most[i] < low || high < least[i]:
			default:
				sum(sums[:end-start], parts, c.points, start)
				for _, v := range sums[:end-start] {
					if low <= v && v <= high {
						count++
					}
				}
			}
		}
	}
	return count
}

// sum adds up the contributions of points from start on.
func sum(dst []float64, parts []Contribution, points [][]float64, start int) {
	clear(dst)
	for p, c := range parts {
		for i, z := range points[p][start : start+len(dst)] {
			dst[i] += float64(c.Contribution * z)
		}
	}
}
