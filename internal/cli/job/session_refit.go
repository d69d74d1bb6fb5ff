package job

import (
	"cmp"
	"fmt"

	pb "gauged/api/gauged/v1"
)

// refitted is the place at which another part was fitted after a verdict.
func (s *session) refitted() *pb.Fit {
	for _, f := range s.job.GetEvaluation().GetFits() {
		if f.GetPlace() == s.place() {
			return f
		}
	}
	return nil
}

// instead names what is recommended now in the place of the part that is in; empty
// where that is the part itself, or nothing.
func (s *session) instead() string {
	f := s.refitted()
	name := cmp.Or(f.GetChoice().GetGrade().GetPart(), f.GetPack().GetName())
	if name == f.GetFitted().GetPart() {
		return ""
	}
	return name
}

// askInstead asks which part was fitted in the place of one that is in. What has just
// failed is not offered again.
func (s *session) askInstead(at string) string {
	in, now := s.refitted().GetFitted().GetPart(), s.instead()
	if now != "" {
		return fmt.Sprintf("%s is fitted%s. Now recommended: %s.\nWhich part was fitted instead? Enter = %s, or the number on the part.", in, at, s.gradeOf(now), now)
	}
	why := "no part is recommended now"
	if s.refitted().GetChoice() != nil || s.refitted().GetPack() != nil {
		why = "the calculation gives the same part again"
	}
	if badProof(s.job) {
		why = "its proof " + missedText(s.job) + ", and " + why
	}
	text := fmt.Sprintf("%s is fitted%s; %s.", in, at, why)
	if s.goesOn() {
		text += " The next round (Enter, then n) continues with the measured result."
	}
	return text + "\nWhich part was fitted instead? The number on the part; " + in + " if it was removed and fitted again; Enter = none."
}
