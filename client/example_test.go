package client_test

import (
	"context"
	"fmt"
	"log"

	pb "gauged/api/gauged/v1"
	"gauged/client"
)

// address is that of the station of the examples, which close ends.
func address() (socket string, end func()) {
	b := newBench(open)
	return "unix://" + b.socket, b.close
}

// Beyond this machine a program shows a token, and trusts the authority of the station.
func ExampleDial() {
	_, err := client.Dial("bench.example:7411", client.Options{TokenFile: "press-1.token", Authority: "authority.pem"})
	fmt.Println("there is no such file yet:", err != nil)
	// Output: there is no such file yet: true
}

// The program numbers its readings. When it begins anew it gives them from the beginning, or
// goes on behind Through: what is stored is passed over.
func ExampleClient_Feed() {
	address, end := address()
	defer end()
	ctx := context.Background()
	c, err := client.Dial(address, client.Options{})
	if err != nil {
		log.Fatal(err)
	}
	defer c.Close()
	for range 2 { // the second time as after a restart
		f, err := c.Feed(ctx, client.Sender{Source: "press-1", Outage: client.Outage{Patient: true}})
		if err != nil {
			log.Fatal(err)
		}
		fmt.Println("stored before:", f.Through())
		for n, shown := range []string{"46.415", "46.412", "46.418"} {
			if err := f.Send(ctx, &pb.IngestedReading{SourceSeq: uint64(n + 1), GaugeId: "press", Shown: shown, Unit: pb.Unit_UNIT_MILLIMETRE}); err != nil {
				log.Fatal(err)
			}
		}
		if err := f.Flush(ctx); err != nil {
			log.Fatal(err)
		}
		fmt.Println("stored:", f.Through())
		if err := f.Close(); err != nil {
			log.Fatal(err)
		}
	}
	// Output:
	// stored before: 0
	// stored: 3
	// stored before: 3
	// stored: 3
}

// A watch goes on where the place of the last event says, in the next run too.
func ExampleClient_WatchJobs() {
	address, end := address()
	defer end()
	c, err := client.Dial(address, client.Options{})
	if err != nil {
		log.Fatal(err)
	}
	defer c.Close()
	jobs := pb.NewJobServiceClient(c.Conn())
	for _, serial := range []string{"L2-0417", "L2-0418"} {
		if _, err := jobs.StartJob(context.Background(), &pb.StartJobRequest{ProcedureId: "idler-thrust-washer", UnitSerial: serial, By: "press-1"}); err != nil {
			log.Fatal(err)
		}
	}
	var kept client.Place // of the run before
	for range 2 {
		request := &pb.WatchJobsRequest{AfterSeq: &kept.AfterSeq, StretchId: kept.StretchID}
		for event, err := range c.WatchJobs(context.Background(), request, client.Outage{Patient: true}) {
			if err != nil {
				log.Fatal(err)
			}
			if change := event.Message.GetChange(); change != nil {
				fmt.Println(change.GetUnitSerial(), change.GetKind())
				kept = event.Place
				break
			}
		}
	}
	// Output:
	// L2-0417 JOB_CHANGE_KIND_STARTED
	// L2-0418 JOB_CHANGE_KIND_STARTED
}

// A program goes by the reason of a refusal, and shows its sentence to a person.
func ExampleRefusalOf() {
	address, end := address()
	defer end()
	c, err := client.Dial(address, client.Options{})
	if err != nil {
		log.Fatal(err)
	}
	defer c.Close()
	_, err = pb.NewGaugeServiceClient(c.Conn()).GetGauge(context.Background(), &pb.GetGaugeRequest{GaugeId: "pres"})
	if r, ok := client.RefusalOf(err); ok && r.Reason == "GAUGE_MISSING" {
		fmt.Println("no gauge", r.Arguments["gauge"])
	}
	// Output: no gauge pres
}
