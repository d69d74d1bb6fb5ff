package history

import (
	"errors"
	"fmt"
	"math"
	"time"

	"gauged/internal/gauge"
)

// The times that whole nanoseconds since 1970 can hold in 64 bits.
var (
	earliest = time.Unix(0, math.MinInt64)
	latest   = time.Unix(0, math.MaxInt64)
)

// validate refuses a fact that would not come back as it is.
func validate(f *gauge.Fact) error {
	kinds := 0
	var err error
	if f.Reading != nil {
		kinds++
		err = validateReading(f.Reading)
	}
	if f.Reject != nil {
		kinds++
		err = errors.Join(validateTime(f.Reject.Time), validateCount("source number", f.Reject.SourceSeq))
	}
	if f.State != nil {
		kinds++
		err = validateTime(f.State.Time)
	}
	if f.File != nil {
		kinds++
		err = validateFile(f.File)
	}
	if f.Job != nil {
		kinds++
		err = errors.Join(validateTime(f.Job.Time), validateCount("job number", f.Job.Job))
	}
	if f.Gauge != nil {
		kinds++
		err = validateTime(f.Gauge.Time)
	}
	if f.Release != nil {
		kinds++
		err = validateTime(f.Release.Time)
	}
	if f.Access != nil {
		kinds++
		err = validateTime(f.Access.Time)
	}
	if kinds != 1 {
		return fmt.Errorf("it has %d contents instead of one", kinds)
	}
	return err
}

func validateReading(r *gauge.Reading) error {
	if r.Unit != gauge.UnitUnknown && !r.Unit.Known() {
		return fmt.Errorf("its unit %v does not exist", r.Unit)
	}
	return errors.Join(validateTime(r.Time), validateCount("source number", r.SourceSeq))
}

func validateFile(f *gauge.File) error {
	if hash := gauge.HashContent(f.Content); f.Hash != hash {
		return fmt.Errorf("file %q has hash %s, its content has %s", f.Name, f.Hash, hash)
	}
	return validateTime(f.Time)
}

func validateTime(t time.Time) error {
	if !t.IsZero() && (t.Before(earliest) || t.After(latest)) {
		return fmt.Errorf("its time %v is outside the years 1678 to 2262", t)
	}
	return nil
}

func validateCount(what string, n uint64) error {
	if n > math.MaxInt64 {
		return fmt.Errorf("its %s %d is larger than %d", what, n, int64(math.MaxInt64))
	}
	return nil
}
