package main

import (
	"context"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/ncruces/go-sqlite3"
	healthv1 "google.golang.org/grpc/health/grpc_health_v1"

	pb "gauged/api/gauged/v1"
	"gauged/internal/devices"
	"gauged/internal/gauge"
	"gauged/internal/simulate"
)

// BenchmarkWireToWatcher takes the time from a frame's write into a
// pseudo-terminal to the stored reading in a watcher's hands, and in the same
// run that of a bare 4 KiB write with fsync and of a gRPC call that does nothing.
func BenchmarkWireToWatcher(b *testing.B) {
	tr := newTrial(b, socket+"gauges:\n  depth: {layout: value-with-unit, port: depth, bounce: 0s}\n")
	line := tr.plug("depth")
	tr.start()
	tr.live("depth")
	ctx, cancel := context.WithCancel(b.Context())
	defer cancel()
	stream, err := tr.gauges().WatchReadings(ctx, &pb.WatchReadingsRequest{})
	if err != nil {
		b.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil { // the start
		b.Fatal(err)
	}
	file, err := os.Create(tr.path("bare"))
	if err != nil {
		b.Fatal(err)
	}
	defer file.Close()
	health := healthv1.NewHealthClient(tr.conn)
	wire := func() error {
		_, err := fmt.Fprint(line, "+012.345 mm\r\n")
		_, received := stream.Recv()
		return errors.Join(err, received)
	}
	sync := func() error {
		_, err := file.WriteAt(make([]byte, 4096), 0)
		return errors.Join(err, file.Sync())
	}
	ping := func() error {
		_, err := health.Check(ctx, &healthv1.HealthCheckRequest{})
		return err
	}
	times := map[string][]time.Duration{}
	for b.Loop() {
		for range 1000 {
			for name, do := range map[string]func() error{"wire": wire, "fsync": sync, "ping": ping} {
				begin := time.Now()
				if err := do(); err != nil {
					b.Fatal(err)
				}
				times[name] = append(times[name], time.Since(begin))
			}
		}
	}
	for name, all := range times {
		slices.Sort(all)
		b.ReportMetric(float64(all[len(all)/2].Microseconds()), name+"-p50-us")
		b.ReportMetric(float64(all[len(all)*99/100].Microseconds()), name+"-p99-us")
	}
}

const (
	ingestBatch  = 1000
	ingestAll    = 200_000
	ingestFlight = 16 * ingestBatch // readings sent ahead of the acknowledgement
)

// BenchmarkIngest sends readings over gRPC until the last is acknowledged as
// durable, and inserts as many rows of the same content through the same
// SQLite driver in bare batches of the same size, as durably, in the same run.
func BenchmarkIngest(b *testing.B) {
	for b.Loop() {
		served := ingest(b)
		bare := bareInserts(b)
		b.ReportMetric(ingestAll/served.Seconds(), "readings/s")
		b.ReportMetric(ingestAll/bare.Seconds(), "bare-rows/s")
		b.ReportMetric(bare.Seconds()/served.Seconds(), "ratio")
	}
}

func ingest(b *testing.B) time.Duration {
	tr := newTrial(b, socket+"gauges:\n  far: {outside: yes}\n")
	tr.start()
	defer tr.stop()
	stream, err := tr.gauges().IngestReadings(b.Context())
	if err != nil {
		b.Fatal(err)
	}
	if err := stream.Send(&pb.IngestReadingsRequest{Source: "bench"}); err != nil {
		b.Fatal(err)
	}
	if _, err := stream.Recv(); err != nil {
		b.Fatal(err)
	}
	begin := time.Now()
	for sent, durable := uint64(0), uint64(0); durable < ingestAll; {
		if sent < ingestAll && sent-durable < ingestFlight {
			request := &pb.IngestReadingsRequest{}
			for range ingestBatch {
				sent++
				request.Readings = append(request.Readings, &pb.IngestedReading{
					SourceSeq: sent, GaugeId: "far", Shown: "+012.345", Unit: pb.Unit_UNIT_MILLIMETRE,
					Status: pb.ReadingStatus_READING_STATUS_OK, Raw: []byte("+012.345 mm"),
				})
			}
			if err := stream.Send(request); err != nil {
				b.Fatal(err)
			}
			continue
		}
		answer, err := stream.Recv()
		if err != nil {
			b.Fatal(err)
		}
		durable = answer.GetDurableThroughSeq()
	}
	return time.Since(begin)
}

func bareInserts(b *testing.B) time.Duration {
	conn, err := sqlite3.Open("file:" + filepath.Join(b.TempDir(), "bare.db") + "?_pragma=journal_mode(WAL)&_pragma=synchronous(FULL)")
	if err != nil {
		b.Fatal(err)
	}
	defer conn.Close()
	if err := conn.Exec(`CREATE TABLE readings (seq INTEGER PRIMARY KEY, gauge TEXT, number INTEGER, time INTEGER, value INTEGER,
		shown TEXT, unit TEXT, status TEXT, raw BLOB, source TEXT, source_seq INTEGER, entered_by TEXT) STRICT`); err != nil {
		b.Fatal(err)
	}
	insert, _, err := conn.Prepare("INSERT INTO readings VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)")
	if err != nil {
		b.Fatal(err)
	}
	defer insert.Close()
	begin := time.Now()
	for row := int64(1); row <= ingestAll; row++ {
		if row%ingestBatch == 1 {
			err = conn.Exec("BEGIN IMMEDIATE")
		}
		err = errors.Join(err, insert.BindInt64(1, row), insert.BindText(2, "far"), insert.BindInt64(3, row),
			insert.BindInt64(4, begin.UnixNano()), insert.BindInt64(5, 12_345_000_000), insert.BindText(6, "+012.345"),
			insert.BindText(7, "mm"), insert.BindText(8, "ok"), insert.BindBlob(9, []byte("+012.345 mm")),
			insert.BindText(10, "bench"), insert.BindInt64(11, row), insert.BindText(12, ""), insert.Exec())
		if row%ingestBatch == 0 {
			err = errors.Join(err, conn.Exec("COMMIT"))
		}
		if err != nil {
			b.Fatal(err)
		}
	}
	return time.Since(begin)
}

// BenchmarkDaemon lets gauges send to the real program for a while, every
// reading stored, and reads what it has used from the system.
func BenchmarkDaemon(b *testing.B) {
	for _, c := range []struct {
		gauges int
		every  time.Duration
	}{
		{8, 100 * time.Millisecond},
		{200, 20 * time.Millisecond},
	} {
		b.Run(fmt.Sprintf("%d gauges, one reading in %v each", c.gauges, c.every), func(b *testing.B) { daemonUnder(b, c.gauges, c.every) })
	}
}

func daemonUnder(b *testing.B, gauges int, every time.Duration) {
	const seconds = 10
	layouts, err := devices.ShippedLayouts()
	if err != nil {
		b.Fatal(err)
	}
	gauged, _ := buildPrograms(b)
	station := socket + "gauges:\n"
	var simulated []simulate.Gauge
	for i := range gauges {
		name := fmt.Sprint("g", i)
		station += fmt.Sprintf("  %s: {layout: value-with-unit, mode: stream, port: lines/%s}\n", name, name)
		simulated = append(simulated, simulate.Gauge{
			Name: name, Layout: layouts["value-with-unit"], Unit: gauge.Millimetre, Decimals: 3, Mode: gauge.ModeStream,
			Every: every, Value: gauge.MustLength("12.345", gauge.Millimetre), Noise: 2_000_000, Seed: uint64(i),
		})
	}
	tr := newTrial(b, station)
	if err := os.Mkdir(tr.path("lines"), 0o755); err != nil {
		b.Fatal(err)
	}
	bench, err := simulate.Start(tr.path("lines"), simulated)
	if err != nil {
		b.Fatal(err)
	}
	defer bench.Close()
	daemon := tr.startProcess(gauged)
	defer func() {
		_ = daemon.Process.Kill()
		_ = daemon.Wait()
	}()
	for _, g := range simulated {
		tr.live(g.Name)
	}
	for b.Loop() {
		before, stored, begin := cpuTime(b, daemon.Process.Pid), tr.stored(), time.Now()
		time.Sleep(seconds * time.Second)
		passed := time.Since(begin).Seconds()
		b.ReportMetric(float64(tr.stored()-stored)/passed, "readings/s")
		b.ReportMetric(100*(cpuTime(b, daemon.Process.Pid)-before).Seconds()/passed, "%cpu")
		b.ReportMetric(residentMiB(b, daemon.Process.Pid), "MiB")
		b.ReportMetric(float64(descriptors(b, daemon.Process.Pid))/float64(gauges), "descriptors/gauge")
	}
}

// stored is how many readings the station has: each gauge numbers its own
// without holes.
func (tr *trial) stored() uint64 {
	tr.t.Helper()
	answer, err := tr.gauges().ListGauges(tr.t.Context(), &pb.ListGaugesRequest{})
	if err != nil {
		tr.t.Fatal(err)
	}
	var all uint64
	for _, g := range answer.GetGauges() {
		all += g.GetLastReading().GetNumber()
	}
	return all
}

func descriptors(b *testing.B, pid int) int {
	open, err := os.ReadDir(fmt.Sprintf("/proc/%d/fd", pid))
	if err != nil {
		b.Fatal(err)
	}
	return len(open)
}

// cpuTime is the user and system time of a process; the kernel counts in
// hundredths of a second for /proc on every architecture.
func cpuTime(b *testing.B, pid int) time.Duration {
	stat, err := os.ReadFile(fmt.Sprintf("/proc/%d/stat", pid))
	if err != nil {
		b.Fatal(err)
	}
	fields := strings.Fields(string(stat[strings.LastIndexByte(string(stat), ')')+1:]))
	var ticks int
	for _, f := range fields[11:13] { // utime and stime
		n, err := strconv.Atoi(f)
		if err != nil {
			b.Fatal(err)
		}
		ticks += n
	}
	return time.Duration(ticks) * 10 * time.Millisecond
}

func residentMiB(b *testing.B, pid int) float64 {
	status, err := os.ReadFile(fmt.Sprintf("/proc/%d/status", pid))
	if err != nil {
		b.Fatal(err)
	}
	for line := range strings.Lines(string(status)) {
		if f := strings.Fields(line); len(f) > 1 && f[0] == "VmRSS:" {
			kib, err := strconv.ParseFloat(f[1], 64)
			if err != nil {
				b.Fatal(err)
			}
			return kib / 1024
		}
	}
	b.Fatal("the system does not say how much memory the daemon uses")
	return 0
}
