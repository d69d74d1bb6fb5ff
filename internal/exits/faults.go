package exits

import "errors"

// What the error of a sender may say by methods: Gone, that the receiver wants nothing any
// more; Away, that it was not reached, so that no letter is to blame; Refuses, that it lets
// nobody in, which does not mend itself.

func gone(err error) bool {
	var says interface{ Gone() bool }
	return errors.As(err, &says) && says.Gone()
}

func away(err error) bool {
	var says interface{ Away() bool }
	return errors.As(err, &says) && says.Away()
}

func refused(err error) bool {
	var says interface{ Refuses() bool }
	return errors.As(err, &says) && says.Refuses()
}
