package uncertainty

import (
	"math"
	"math/rand/v2"
)

// drawer draws deviates: of estimate 0 and standard uncertainty 1.
type drawer struct {
	pcg    *rand.PCG
	normal *ziggurat
}

func newDrawer(seed uint64) *drawer {
	const stream = 0x676175676564 // any constant: one seed is one stream
	return &drawer{pcg: rand.NewPCG(seed, stream), normal: newZiggurat()}
}

// fill draws deviates of an input's shape.
func (d *drawer) fill(dst []float64, in Input) {
	freedom := in.freedom()
	switch in.Distribution {
	case Rectangular:
		d.fillRectangular(dst)
	case Triangular:
		d.fillTriangular(dst)
	case UShaped:
		d.fillUShaped(dst)
	default:
		if math.IsInf(freedom, 1) {
			d.fillNormal(dst)
		} else {
			d.fillStudent(dst, freedom)
		}
		return
	}
	if !math.IsInf(freedom, 1) {
		d.blurLimits(dst, freedom)
	}
}

func (d *drawer) fillNormal(dst []float64) {
	for i := range dst {
		dst[i] = d.normal.draw(d.pcg)
	}
}

// fillStudent divides a normal deviate by the root of a mean square. Unlike the
// others, its deviates have the scale 1, not the standard deviation.
func (d *drawer) fillStudent(dst []float64, freedom float64) {
	g := newGamma(freedom / 2)
	for i := range dst {
		z := d.normal.draw(d.pcg)
		dst[i] = z * math.Sqrt(freedom/2/g.draw(d))
	}
}

// fillRectangular takes 64 bits as a signed fraction of the half-width.
func (d *drawer) fillRectangular(dst []float64) {
	scale := math.Sqrt(3) * 0x1p-52
	for i := range dst {
		dst[i] = scale * float64(int64(d.pcg.Uint64())>>11)
	}
}

// fillTriangular adds two rectangular deviates of 32 bits each.
func (d *drawer) fillTriangular(dst []float64) {
	scale := math.Sqrt(6) * 0x1p-32
	for i := range dst {
		u := d.pcg.Uint64()
		dst[i] = scale * float64(int64(u>>32)+int64(u&0xffffffff)-0xffffffff)
	}
}

// fillUShaped is the cosine of twice the angle of a point in the unit circle,
// which is as evenly spread as the angle. Coordinates have 32 bits each, and
// are odd, so that no point is the centre.
func (d *drawer) fillUShaped(dst []float64) {
	for i := 0; i < len(dst); {
		u := d.pcg.Uint64()
		x := float64(2*int64(int32(u>>32)) + 1)
		y := float64(2*int64(int32(u)) + 1)
		xx, yy := float64(x*x), float64(y*y)
		if r := xx + yy; r <= 0x1p64 {
			dst[i] = math.Sqrt2 * ((xx - yy) / r)
			i++
		}
	}
}

// blurLimits makes the half-width itself rectangular: known to the fraction that
// the freedom stands for (JCGM 100, G.4.2). From a rectangular deviate it makes
// the curvilinear trapezoid of JCGM 101, 6.4.3.
func (d *drawer) blurLimits(dst []float64, freedom float64) {
	scale := 0x1p-52 / math.Sqrt(2*freedom)
	for i := range dst {
		blur := float64(scale * float64(int64(d.pcg.Uint64())>>11))
		dst[i] *= 1 + blur
	}
}

// uniform is a fraction over 0 and up to 1.
func (d *drawer) uniform() float64 { return uniform(d.pcg) }

func uniform(pcg *rand.PCG) float64 { return float64(pcg.Uint64()>>11+1) * 0x1p-53 }
