package drift

// ends is the occasions that end an interval, with errors counted from zero, and what is
// usual between them.
type ends struct {
	History
	usual, usualUses float64 // interval; 0: not known
}

// endsOf is the history of the occasions that end an interval. The last one is that of its
// worst check. An interval far longer than usual is a slip or time out of use: what is
// advised goes by the others.
func endsOf(occasions []occasion, o Options) (e ends) {
	var all []occasion
	var days, uses []float64
	for _, one := range occasions {
		if one.Aside {
			continue
		}
		_ = e.Add(one.Check) // is valid
		if all = append(all, one); len(all) > 1 {
			days, uses = append(days, e.LastGap), append(uses, e.UseGap)
		}
	}
	if len(all) == 0 {
		return e
	}
	e.Last = all[len(all)-1].fromZero(o)
	// A check after one that failed proves no interval: the one that failed stands.
	for i := len(all) - 1; i > 0 && all[i-1].failed(o); i-- {
		if i > 1 && days[i-2] > e.LastGap {
			e.LastGap, e.UseGap, e.Last.Verdict = days[i-2], uses[i-2], Failed
		}
	}
	e.usual, e.LastGap, e.Longest = usualOf(days, e.LastGap, o.Rule)
	e.usualUses, e.UseGap, e.MostUses = usualOf(uses, e.UseGap, o.Rule)
	return e
}

// fromZero is the worst check of an occasion, failed where one failed, with what the last
// one left.
func (o occasion) fromZero(by Options) Check {
	c, worst := o.Check, o.worst(by)
	c.Found, c.Uncertainty = worst.Found+by.Origin, max(c.Uncertainty, worst.Uncertainty)
	if c.Left != nil {
		left := *c.Left + by.Origin
		c.Left = &left
	}
	if worst.fails(by) {
		c.Verdict = Failed
	}
	return c
}

// usualOf is the usual interval, the last and the longest one, those left out that are far
// longer.
func usualOf(gaps []float64, last float64, rule IntervalRule) (usual, counted, longest float64) {
	usual = usualNow(gaps)
	for _, g := range gaps {
		if g <= rule.Longest*usual {
			longest = max(longest, g)
		}
	}
	return usual, min(last, longest), longest
}
