// Command feed sends the readings of a file to a station: feed ADDRESS SOURCE FILE. Each line is
// one, such as "press 46.415 mm", and its number that of the reading. It can be killed at any
// time: the next run goes on where the station has nothing yet.
package main

import (
	"bufio"
	"context"
	"fmt"
	"os"
	"strings"

	pb "gauged/api/gauged/v1"
	"gauged/client"
	"gauged/examples/go/kept"
)

var units = map[string]pb.Unit{"mm": pb.Unit_UNIT_MILLIMETRE, "in": pb.Unit_UNIT_INCH}

func main() {
	if err := feed(context.Background(), os.Args[1], os.Args[2], os.Args[3]); err != nil { // ADDRESS SOURCE FILE
		kept.Fail(err)
	}
}

func feed(ctx context.Context, address, source, name string) error {
	c, err := client.Dial(address, client.Options{TokenFile: os.Getenv("TOKEN_FILE"), Authority: os.Getenv("CA")})
	if err != nil {
		return err
	}
	f, err := c.Feed(ctx, client.Sender{
		Source:  source,
		Refused: func(r *pb.RefusedReading) { fmt.Println("refused:", r.GetSourceSeq(), r.GetReason().GetCode()) },
		Outage:  kept.Away,
	})
	if err != nil {
		return err
	}
	fmt.Println("stored before:", f.Through())
	file, err := os.Open(name)
	if err != nil {
		return err
	}
	lines := bufio.NewScanner(file)
	for n := uint64(1); lines.Scan(); n++ {
		words := strings.Fields(lines.Text())
		if len(words) != 3 || units[words[2]] == pb.Unit_UNIT_UNSPECIFIED {
			return fmt.Errorf("%s:%d: %q is not GAUGE VALUE UNIT, with mm or in", name, n, lines.Text())
		}
		if err := f.Send(ctx, &pb.IngestedReading{SourceSeq: n, GaugeId: words[0], Shown: words[1], Unit: units[words[2]]}); err != nil {
			return err
		}
	}
	if err := f.Flush(ctx); err != nil {
		return err
	}
	fmt.Println("stored:", f.Through())
	return lines.Err()
}
