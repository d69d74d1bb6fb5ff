// Command verdicts keeps each verdict of a station once, whenever it is killed: verdicts
// ADDRESS FILE. Each line is a verdict with its place, from which the next run goes on.
package main

import (
	"context"
	"encoding/json"
	"fmt"
	"io"
	"log"
	"os"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

type verdict struct {
	client.Place
	Job     uint64 `json:"job"`
	Unit    string `json:"unit"`
	Outcome string `json:"outcome"` // OUTCOME_MEASURING takes the verdict of the job back
}

func main() {
	err := keep(context.Background(), os.Args[1], os.Args[2]) // ADDRESS FILE
	if r, ok := client.RefusalOf(err); ok && r.Reason == "WATCH_OTHER_HISTORY" {
		err = fmt.Errorf("a copy of the history was restored: keep the verdicts in a new file (%w)", err)
	}
	log.Fatal(err)
}

func keep(ctx context.Context, address, name string) error {
	file, err := os.OpenFile(name, os.O_RDWR|os.O_CREATE|os.O_APPEND, 0o644)
	if err != nil {
		return err
	}
	var last verdict
	for kept := json.NewDecoder(file); err == nil; {
		err = kept.Decode(&last)
	}
	if err != io.EOF {
		return err
	}
	c, err := client.Dial(address, client.Options{TokenFile: os.Getenv("TOKEN_FILE"), Authority: os.Getenv("CA")})
	if err != nil {
		return err
	}
	request := &pb.WatchJobsRequest{VerdictsOnly: true, AfterSeq: &last.AfterSeq, StretchId: last.StretchID}
	away := client.Outage{Patient: true, Lost: func(error) { log.Print("the station is away: waiting") }}
	for event, err := range c.WatchJobs(ctx, request, away) {
		if err != nil {
			return err
		}
		if change := event.Message.GetChange(); change != nil {
			line, _ := json.Marshal(verdict{event.Place, change.GetJobId(), change.GetUnitSerial(), change.GetOutcome().String()})
			if _, err := file.Write(append(line, '\n')); err != nil { // whole or not at all
				return err
			}
		}
	}
	return nil
}
