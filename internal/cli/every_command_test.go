package cli

import (
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"

	"gauged/internal/cli/app"
	"gauged/internal/cli/clitest"

	pb "gauged/api/gauged/v1"
)

// use is one use of a command; a daemon is asked where a job or study says so.
type use struct {
	args  string
	job   func() *pb.Job // that the daemon has
	stdin string
	code  int
	talks bool // it has tables alone
	study bool // asks a station that has studies
}

// uses has a use of every command. TestEveryCommandIsUsed holds that.
var uses = map[string]use{
	"status": {job: clitest.FitPartJob, code: app.ExitAnswerIsNo}, "version": {}, "help": {args: "job", talks: true}, "gauges": {job: clitest.FitPartJob}, "watch": {args: "--after 46 --count 1", job: clitest.FitPartJob},
	"procedures": {job: clitest.FitPartJob}, "procedures reload": {job: clitest.FitPartJob},
	"gauge show": {args: "depth-1", job: clitest.FitPartJob}, "procedure show": {args: "output-shaft", job: clitest.FitPartJob},
	"check":                {args: "testdata/guarded/procedure.yaml testdata/guarded/parts.yaml"},
	"evaluate":             {args: "testdata/guarded/procedure.yaml testdata/guarded/readings.csv --fitted 1.55 --budget"},
	"decode":               {args: "--layout signed-line --unit in", stdin: "+0.1234\r\n"},
	"motion":               {args: "../../testdata/motion/missed-stroke.csv"},
	"ports":                {},
	"drift":                {args: "--file testdata/drift/drifting.csv --mpe 8 --unit um"},
	"listen":               {talks: true},
	"record":               {args: "none", talks: true},
	"replay":               {args: "none", talks: true},
	"simulate":             {args: "none.yaml --dir none", talks: true},
	"job run":              {args: "output-shaft --unit-serial 1", talks: true},
	"jobs":                 {job: clitest.FitPartJob},
	"job show":             {args: "3", job: clitest.FitPartJob},
	"export readings":      {code: app.ExitUsage, talks: true},
	"export rejects":       {code: app.ExitUsage, talks: true},
	"export states":        {code: app.ExitUsage, talks: true},
	"export results":       {code: app.ExitUsage, talks: true},
	"job sheet":            {args: "3", job: clitest.FitPartJob, code: app.ExitUsage, talks: true},
	"job qif":              {args: "3", job: clitest.FitPartJob, code: app.ExitUsage, talks: true},
	"master dcc":           {args: "micrometer", code: app.ExitUsage, talks: true},
	"master sheet":         {args: "micrometer", code: app.ExitUsage, talks: true},
	"job watch":            {args: "3", job: closedJob},
	"job start":            {args: "output-shaft --unit-serial TC-0412", job: clitest.MeasuringJob},
	"job acknowledge":      {args: "3", job: clitest.MeasuringJob},
	"job capture":          {args: "3", job: clitest.VerifyJob},
	"job enter":            {args: "3 0.062mm", job: clitest.VerifyJob},
	"job discard":          {args: "3 --reason slipped", job: clitest.MeasuringJob},
	"job choose":           {args: "3", job: clitest.FitPartJob},
	"job fit":              {args: "3 --thickness 1.938mm --yes", job: clitest.FitPartJob},
	"job round":            {args: "3", job: clitest.FitPartJob, code: app.ExitFailure},
	"job verify":           {args: "3", job: func() *pb.Job { return clitest.VerdictJob("0.064") }},
	"job aside":            {args: "3 --reason ordered", job: clitest.MeasuringJob},
	"job resume":           {args: "3", job: clitest.MeasuringJob},
	"job serial":           {args: "3 TC-0413 --reason typo", job: clitest.MeasuringJob},
	"job label":            {args: "3 order=A-1042", job: clitest.MeasuringJob},
	"job close":            {args: "3", job: func() *pb.Job { return clitest.VerdictJob("0.064") }},
	"history readings":     {job: clitest.FitPartJob},
	"history rejects":      {job: clitest.FitPartJob},
	"history states":       {job: clitest.FitPartJob},
	"history standings":    {job: clitest.FitPartJob},
	"masters":              {job: clitest.FitPartJob},
	"history job":          {args: "3", job: clitest.FitPartJob},
	"history file":         {args: "3f5a", job: clitest.FitPartJob},
	"history replay":       {job: clitest.FitPartJob},
	"history verify":       {job: clitest.FitPartJob},
	"history backup":       {args: "{new}", job: clitest.FitPartJob},
	"history restore":      {args: "../../testdata/history/schema10.db {new}"},
	"checks":               {args: "dial-2", job: clitest.FitPartJob},
	"master signs":         {args: "dial-2", job: clitest.FitPartJob, code: app.ExitAnswerIsNo},
	"master standing":      {args: "dial-2 in-service --by quality --reason checked", job: clitest.FitPartJob},
	"master begin":         {args: "dial-2 --at zero --by quality", job: clitest.FitPartJob},
	"master leave":         {args: "dial-2 --by quality", job: clitest.FitPartJob, code: app.ExitFailure},
	"master void":          {args: "dial-2 88 --by quality --reason mistaken", job: clitest.FitPartJob},
	"master recalled":      {args: "dial-2 --by quality --reason checked", job: clitest.FitPartJob},
	"master record":        {args: "dial-2 --at zero=1,2 --by quality", job: clitest.FitPartJob},
	"master check":         {args: "--file testdata/checks/dial.csv --unit mm --mpe 0.004 --resolution 0.001", code: app.ExitAnswerIsNo},
	"master zero":          {args: "dial-2 --value 0.001mm --by quality", job: clitest.FitPartJob},
	"master import":        {args: "micrometer testdata/checks/laboratory.csv --unit mm --by quality --dry-run", study: true},
	"recall":               {args: "dial-2 --error 8um --since 2026-01-01", job: clitest.FitPartJob, code: app.ExitAnswerIsNo},
	"studies":              {study: true},
	"study show":           {args: "1", study: true, code: app.ExitFailure},
	"study record":         {args: "micrometer --kind capability --master zero --trials 10 --tolerance 0.1mm --by quality --sheet {new}.csv", study: true, stdin: strings.Repeat("0.001 mm\n0.002 mm\n", 5)},
	"study crossed":        {args: "--file ../../testdata/statistics/grr_10x3x3.csv --tolerance 8 --unit mm"},
	"study nested":         {args: "--file ../../testdata/statistics/grr_10x3x3.csv"},
	"study one-way":        {args: "--file ../../testdata/statistics/gear_diameter.csv --group batch --value diameter"},
	"study bias":           {args: "--file ../../testdata/statistics/bias_15.csv --reference 6.0 --tolerance 3 --unit mm"},
	"study capability":     {args: "--file ../../testdata/statistics/bias_15.csv --reference 6.0 --tolerance 3 --unit mm"},
	"study linearity":      {args: "--file ../../testdata/statistics/linewidth_calibration.csv --value y_reading --reference x_reference --tolerance 1"},
	"study stability":      {args: "--file ../../testdata/statistics/individuals_flowrate.csv --value x --reference 50"},
	"access who":           {study: true},
	"access people":        {study: true},
	"access tokens":        {study: true},
	"access devices":       {study: true},
	"access log":           {study: true},
	"access person add":    {args: "Ada --role technician --pin --by lead", stdin: "4711\n", study: true},
	"access person change": {args: "Ada --role reader --by lead", study: true, code: app.ExitFailure},
	"access person remove": {args: "Ada --by lead", study: true, code: app.ExitFailure, talks: true},
	"access token make":    {args: "press --role station --by lead", study: true},
	"access token revoke":  {args: "5c01a2b3 --by lead", study: true, code: app.ExitFailure, talks: true},
	"access device pair":   {args: "--by lead", study: true, code: app.ExitFailure},
	"access device unpair": {args: "5c01a2b3 --by lead", study: true, code: app.ExitFailure, talks: true},
	"exits":                {study: true},
	"exit pause":           {args: "orders --by lead", study: true, code: app.ExitFailure},
	"exit resume":          {args: "orders --by lead", study: true, code: app.ExitFailure},
	"exit letters":         {args: "orders", study: true, code: app.ExitFailure},
	"exit send":            {args: "orders --all --by lead", study: true, code: app.ExitFailure},
	"completion bash":      {talks: true}, "completion fish": {talks: true},
	"completion zsh": {talks: true}, "completion powershell": {talks: true},
}

func closedJob() *pb.Job {
	j := clitest.VerdictJob("0.064")
	j.Stage = pb.JobStage_JOB_STAGE_CLOSED
	return j
}

// call uses the command; serve starts a station with its job.
func (u use) call(t *testing.T, command string, serve func(*fakeStation) string, flags ...string) (code int, stdout, stderr string) {
	t.Helper()
	socket := "/nowhere"
	switch {
	case u.study:
		socket = newStudyBench(t).socket
	case u.job != nil:
		f := newStation(u.job())
		f.shown = []string{"0.062"}
		f.replay = &pb.ReplayVerdictsResponse{JobCount: 2, VerdictCount: 3}
		for _, digits := range []string{"0.100", "-0.250"} {
			f.store(digits)
		}
		socket = serve(f)
	}
	args := strings.Fields(command + " " + strings.ReplaceAll(u.args, "{new}", filepath.Join(t.TempDir(), "new")))
	return call(t, socket, u.stdin, append(args, flags...)...)
}

func served(t *testing.T) func(*fakeStation) string {
	return func(f *fakeStation) string {
		socket := socketPath(t)
		serve(t, f, socket)
		return socket
	}
}

// leaves are the commands that do something: those without others below them, and
// those that have both.
func leaves() (all []string) {
	root := rootCommand(&app.App{Getenv: func(string) string { return "" }})
	root.InitDefaultCompletionCmd()
	var visit func(*cobra.Command)
	visit = func(c *cobra.Command) {
		if c.Runnable() && (!c.HasSubCommands() || c.Annotations[app.OnlyGroup] == "") {
			all = append(all, strings.TrimPrefix(c.CommandPath(), "gaugectl "))
		}
		for _, sub := range c.Commands() {
			visit(sub)
		}
	}
	visit(root)
	return all
}

// TestEveryCommandIsUsed: a new command gets its use, which the tests of all commands take.
func TestEveryCommandIsUsed(t *testing.T) {
	all := leaves()
	for _, command := range all {
		if _, ok := uses[command]; !ok {
			t.Errorf("no test uses %q", command)
		}
	}
	for command := range uses {
		if !slices.Contains(all, command) {
			t.Errorf("there is no command %q", command)
		}
	}
}
