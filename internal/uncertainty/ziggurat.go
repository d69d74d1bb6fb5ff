package uncertainty

import (
	"math"
	"math/rand/v2"
)

// ziggurat draws normal deviates by layers of equal area under the density
// exp(-x*x/2) (G. Marsaglia and W. W. Tsang, The ziggurat method, Journal of
// Statistical Software 5, 2000).
type ziggurat struct {
	width  [257]float64 // right end of each layer per unit of the 54 bits drawn
	within [256]int64   // what is drawn below this is under the density
	height [257]float64 // density at the right end of each layer
}

// lastLayer is where the tail begins, with 256 layers; layerArea follows.
const (
	lastLayer = 3.6541528853610088
	layerArea = 0.00492867323399
)

// newZiggurat computes the layers anew: it takes less than a thousandth of the
// draws that follow, and there is nothing shared.
func newZiggurat() *ziggurat {
	var z ziggurat
	x := [257]float64{0: layerArea / exp(-lastLayer*lastLayer/2), 1: lastLayer}
	for i := 1; i < 255; i++ {
		x[i+1] = math.Sqrt(-2 * log(layerArea/x[i]+exp(float64(-x[i]*x[i])/2)))
	}
	for i := range 256 {
		z.width[i] = x[i] * 0x1p-53
		z.within[i] = int64(x[i+1] / x[i] * 0x1p53)
		z.height[i] = exp(float64(-x[i]*x[i]) / 2)
	}
	z.height[256] = 1
	return &z
}

// draw is a normal deviate. Nearly always one number from the generator is
// enough: 8 bits for the layer, 54 for the place in it.
func (z *ziggurat) draw(pcg *rand.PCG) float64 {
	for {
		u := pcg.Uint64()
		layer, place := u&255, int64(u)>>10
		x := float64(place) * z.width[layer]
		if place < z.within[layer] && -place < z.within[layer] {
			return x
		}
		if layer == 0 {
			return math.Copysign(tail(pcg), x)
		}
		// Under the density, in the corner of the layer?
		rise := float64(uniform(pcg) * (z.height[layer+1] - z.height[layer]))
		if z.height[layer]+rise < exp(float64(-x*x)/2) {
			return x
		}
	}
}

// tail draws beyond the last layer (Marsaglia 1964, as in the paper above).
func tail(pcg *rand.PCG) float64 {
	for {
		x := -log(uniform(pcg)) / lastLayer
		if y := -log(uniform(pcg)); 2*y > float64(x*x) {
			return lastLayer + x
		}
	}
}

// gamma draws from the gamma distribution (G. Marsaglia and W. W. Tsang, A
// simple method for generating gamma variables, ACM Transactions on Mathematical
// Software 26, 2000).
type gamma struct {
	shape, d, c float64
}

func newGamma(shape float64) gamma {
	d := shape - 1.0/3
	if shape < 1 {
		d++ // drawn one higher, see boost
	}
	return gamma{shape: shape, d: d, c: 1 / math.Sqrt(9*d)}
}

func (g gamma) draw(d *drawer) float64 {
	for {
		x := d.normal.draw(d.pcg)
		v := 1 + float64(g.c*x)
		if v <= 0 {
			continue
		}
		v = v * v * v
		u, xx := d.uniform(), float64(x*x)
		if u < 1-float64(0.0331*float64(xx*xx)) || log(u) < xx/2+float64(g.d*(1-v+log(v))) {
			return g.d * v * g.boost(d)
		}
	}
}

// boost brings a deviate of a shape below 1 back from the shape above it.
func (g gamma) boost(d *drawer) float64 {
	if g.shape >= 1 {
		return 1
	}
	return exp(log(d.uniform()) / g.shape)
}
