package health

// Use is how much a gauge was used. A job uses the gauges that it is started with.
type Use struct {
	Jobs int    // that were started with it
	Job  uint64 // the last one; 0: none

	Seq     uint64 // of that start, or of the last reading that was taken from it
	checked int    // Jobs at the last check
	checks  int    // checks so far; each is a use, too
	Number  uint64 // of its readings at the last check
}

// SinceCheck is how many jobs were started with the gauge since its last check, or
// ever when it was never checked.
func (u Use) SinceCheck() int { return u.Jobs - u.checked }

// Start counts a job that uses the gauge.
func (u *Use) Start(id, seq uint64) {
	u.Jobs++
	u.Job, u.Seq = id, seq
}
