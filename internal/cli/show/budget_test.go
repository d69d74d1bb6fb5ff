package show

import (
	"strings"
	"testing"

	pb "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/wire"
)

// TestBudgetOfAPreload: what a part leaves where a preload is wanted is called a preload, and
// has no minus sign.
func TestBudgetOfAPreload(t *testing.T) {
	budget := func(result string) *pb.Budget {
		return &pb.Budget{Result: result, Around: wire.Exact(gauge.MustLength("-0.05", gauge.Millimetre), gauge.Millimetre)}
	}
	var text strings.Builder
	RenderBudgets(&text, &pb.Evaluation{
		Fits: []*pb.Fit{
			{Place: "front", ClosingDimension: pb.ClosingDimension_CLOSING_DIMENSION_PRELOAD},
			{Place: "rear", ClosingDimension: pb.ClosingDimension_CLOSING_DIMENSION_PLAY},
		},
		Budgets: []*pb.Budget{budget("front: play with R1"), budget("rear: play with R2")},
	})
	for _, want := range []string{"front: preload with R1", "around preload 0.05", "rear: play with R2", "around -0.05"} {
		if !strings.Contains(text.String(), want) {
			t.Errorf("no %q in %s", want, text.String())
		}
	}
}
