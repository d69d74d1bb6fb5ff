package page

import (
	"context"

	"gauged/internal/gauge"
	"gauged/internal/page/running"
)

// findAgain takes up a check that was begun on the page before the daemon was restarted, as
// its steps are stored.
func (p *Page) findAgain(ctx context.Context, page checkPage) error {
	b := page.Health.UnderWay(p.o.Now())
	if b == nil || p.drafts.Has(page.ID) {
		return nil
	}
	d := running.Again(page.ID, *b)
	for _, step := range b.Steps {
		if page.Button() {
			if err := p.absorb(ctx, d, step.After); err != nil {
				return err
			}
		}
		var taken gauge.Fact
		if step.Taken > 0 {
			facts, err := p.o.Station.Readings(ctx, gauge.Query{Gauge: page.ID, After: step.Taken - 1, Limit: 1})
			if err != nil || len(facts) == 0 {
				return err
			}
			taken = facts[0]
		}
		if err := d.Step(step, taken); err != nil {
			return err
		}
	}
	p.drafts.Put(page.ID, d)
	return nil
}
