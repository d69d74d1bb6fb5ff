// Command verdicts keeps each verdict of a station once, whenever it is killed: verdicts
// ADDRESS FILE. Each line is a verdict with its place, from which the next run goes on.
package main

import (
	"context"
	"os"

	pb "gauged/api/gauged/v1"
	"gauged/client"
	"gauged/examples/go/kept"
)

type verdict struct {
	client.Place
	Job     uint64 `json:"job"`
	Unit    string `json:"unit"`
	Outcome string `json:"outcome"` // OUTCOME_MEASURING takes the verdict of the job back
}

func main() {
	if err := keep(context.Background(), os.Args[1], os.Args[2]); err != nil { // ADDRESS FILE
		kept.Fail(err)
	}
}

func keep(ctx context.Context, address, name string) error {
	file, err := kept.Open(name)
	if err != nil {
		return err
	}
	c, err := client.Dial(address, client.Options{TokenFile: os.Getenv("TOKEN_FILE"), Authority: os.Getenv("CA")})
	if err != nil {
		return err
	}
	request := &pb.WatchJobsRequest{VerdictsOnly: true, AfterSeq: &file.AfterSeq, StretchId: file.StretchID}
	for event, err := range c.WatchJobs(ctx, request, kept.Away) {
		if err != nil {
			return err
		}
		kept.Behind(event.Message.GetLag())
		if change := event.Message.GetChange(); change != nil {
			if err := file.Keep(verdict{event.Place, change.GetJobId(), change.GetUnitSerial(), change.GetOutcome().String()}); err != nil {
				return err
			}
		}
	}
	return nil
}
