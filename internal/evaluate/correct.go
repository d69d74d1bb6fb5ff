package evaluate

import (
	"fmt"
	"math/big"
	"strings"

	"gauged/internal/evaluate/compute"
	"gauged/internal/evaluate/doubt"
	"gauged/internal/evaluate/formula"
	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// correct takes angle, misalignment and temperature out of what was measured: a reading
// along a sloping line is longer than the dimension, and a warm part is longer
// than at 20 degC (ISO 1), as the gauge's own scale is.
func (w *work) correct(steps []procedure.Step) error {
	warmer, err := w.Warmer()
	if err != nil {
		return err
	}
	for _, s := range steps {
		value, ok := w.V.Of[s.Name]
		if !ok {
			continue
		}
		thermal := warmer != nil && s.Material != nil
		if thermal {
			if scale, stated := w.Expansion(s); !stated {
				w.doubts.ScaleUnknown(s, value, warmer)
				thermal = scale.PerKelvin != s.Material.PerKelvin
			}
		}
		if s.Angle == nil && s.Misaligned == nil && !thermal {
			continue
		}
		factor := big.NewRat(1, 1)
		if s.Angle != nil {
			factor.Mul(factor, s.Angle.Cosine)
		}
		if s.Misaligned != nil {
			factor.Mul(factor, s.Misaligned.Mean)
		}
		if thermal {
			factor.Mul(factor, w.atTwenty(s, warmer))
		}
		corrected := new(big.Rat).Mul(value, factor)
		if err := w.corrected(s, thermal, factor, corrected); err != nil {
			return err
		}
	}
	return nil
}

// atTwenty is the factor from a reading at the temperature of the work to the
// length at 20 degC: 1 - (part's expansion - scale's expansion) * difference,
// to first order as in JCGM 100:2008 H.1.2.
func (w *work) atTwenty(s procedure.Step, warmer *big.Rat) *big.Rat {
	scale, _ := w.Expansion(s)
	relative := formula.Exact(s.Material.PerKelvin-scale.PerKelvin, gauge.One)
	relative.Mul(relative, warmer)
	relative.Mul(relative, compute.PerMillion())
	return relative.Sub(big.NewRat(1, 1), relative)
}

// corrected replaces a measured value and writes the line of arithmetic down.
func (w *work) corrected(s procedure.Step, thermal bool, factor, value *big.Rat) error {
	l, err := formula.InUnit(value, s.Unit)
	if err != nil {
		return fmt.Errorf("%s: %w", s.Name, err)
	}
	name := s.Name + doubt.Corrected
	w.e.Sums = append(w.e.Sums, Sum{
		Name: name, Expression: s.Name + doubt.Times + correction(s, thermal),
		Worked: w.number(s.Name, w.V.Of[s.Name], s.Unit) + " * " + factor.FloatString(9), Value: l, Unit: s.Unit,
	})
	w.V.Of[s.Name] = value
	list := w.V.Readings[s.Name]
	list.Factor = factor
	w.V.Readings[s.Name] = list
	for key, o := range w.Open {
		if key.Step == s.Name {
			w.Open[key] = formula.Interval{Low: new(big.Rat).Mul(o.Low, factor), High: new(big.Rat).Mul(o.High, factor)}
		}
	}
	return nil
}

// correction names what a reading is corrected for.
func correction(s procedure.Step, thermal bool) string {
	var factors []string
	if s.Angle != nil {
		factors = append(factors, doubt.FactorCosine)
	}
	if s.Misaligned != nil {
		factors = append(factors, doubt.FactorMisalignment)
	}
	if thermal {
		factors = append(factors, doubt.FactorWarmth)
	}
	return strings.Join(factors, doubt.Times)
}
