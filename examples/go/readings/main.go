// Command readings keeps each reading of a station once, whenever it is killed: readings
// ADDRESS FILE. Each line is a reading with its place, from which the next run goes on.
package main

import (
	"context"
	"os"

	pb "gauged/api/gauged/v1"
	"gauged/client"
	"gauged/examples/go/kept"
)

type reading struct {
	client.Place
	Gauge string `json:"gauge"`
	Value string `json:"value"` // the digits of the gauge, never a float
	Unit  string `json:"unit"`
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
	request := &pb.WatchReadingsRequest{AfterSeq: &file.AfterSeq, StretchId: file.StretchID}
	for event, err := range c.WatchReadings(ctx, request, kept.Away) {
		if err != nil {
			return err
		}
		kept.Behind(event.Message.GetLag())
		if r := event.Message.GetReading(); r != nil {
			if err := file.Keep(reading{event.Place, r.GetGaugeId(), r.GetValue().GetText(), r.GetValue().GetUnit().String()}); err != nil {
				return err
			}
		}
	}
	return nil
}
