package show

import (
	"fmt"
	"strings"

	pb "gauged/api/gauged/v1"
)

// Remedy is what is to be done now with a gauge that is not in service, in lines, with the
// commands; empty where nothing is.
func Remedy(standing pb.Standing, gauge string) string {
	switch standing {
	case pb.Standing_STANDING_SUSPECT:
		return fmt.Sprintf("%s\n  gaugectl master check %s\n  gaugectl master standing %s out-for-calibration\n", Say("gauge.remedy.check"), gauge, gauge)
	case pb.Standing_STANDING_OUT_FOR_CALIBRATION:
		return Say("gauge.remedy.bring-back") + "\n"
	case pb.Standing_STANDING_UNKNOWN:
		return Say("gauge.remedy.another") + "\n"
	}
	return ""
}

// RemedyFor is what is to be done after a warning of a job about one of its gauges, as
// Remedy writes it: it is not in service, or its check is due.
func RemedyFor(warning *pb.Message) string {
	standing, gauge := "", ""
	for _, a := range warning.GetArguments() {
		switch a.GetName() {
		case "gauge":
			gauge = a.GetText()
		case "standing":
			standing = strings.TrimPrefix(a.GetWord(), "standing.")
		}
	}
	switch code := warning.GetCode(); {
	case gauge == "":
		return ""
	case code == "warning.out":
		return Remedy(pb.Standing(pb.Standing_value["STANDING_"+strings.ToUpper(strings.ReplaceAll(standing, "-", "_"))]), gauge)
	case code == "warning.after.due", strings.HasPrefix(code, "due."):
		return fmt.Sprintf("%s\n  gaugectl master check %s\n", Say("gauge.remedy.overdue"), gauge)
	}
	return ""
}
