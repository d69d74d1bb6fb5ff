//go:build walk

package walk

import "strings"

// call is one use of a command.
type call struct {
	command string // as the help lists it, such as "job start"
	args    string // with {words} that the walk fills in
	on      string // the station whose daemon it talks to; demo, where none is named
	before  func(*site)
	stdin   string
	code    int
	table   []string                   // what its table must show
	json    []string                   // what its JSON must have
	plain   bool                       // it has no JSON, and says so when it is asked for it
	with    func(s *site, link string) // goes on beside it; link is its last argument
}

// calls are made in this order, once for tables and once for JSON. Every command
// that the help lists has one.
var calls = []call{
	{command: "version", table: []string{"gaugectl", "contract gauged.v1"}, json: []string{`"contract"`}},
	{command: "help", args: "job start", table: []string{"Start a job"}, plain: true},
	{command: "completion bash", table: []string{"gaugectl"}, plain: true},
	{command: "completion fish", table: []string{"gaugectl"}, plain: true},
	{command: "completion powershell", table: []string{"gaugectl"}, plain: true},
	{command: "completion zsh", table: []string{"gaugectl"}, plain: true},

	// Without a daemon.
	{
		command: "check", args: "{root}/deploy/demo/station.yaml {root}/deploy/demo/scenario.yaml {root}/deploy/demo/procedures {root}/deploy/demo/parts",
		table: []string{"output-shaft-ring", "idler-washers"}, json: []string{`"output-shaft-ring"`, `"idler-washers"`},
	},
	{command: "decode", args: "--layout signed-line --unit mm", stdin: "+1.234\r\n-0.500\r\n", table: []string{"+1.234 mm", "-0.500 mm"}, json: []string{`"+1.234"`}},
	{command: "drift", args: "--file {root}/deploy/demo-drift/checks.csv --mpe 6um --unit um", table: []string{"um", "2026"}, json: []string{"{"}},
	{command: "evaluate", args: "{root}/testdata/trade/common-practice/procedure.yaml {root}/testdata/trade/common-practice/readings.csv", table: []string{"ring 71"}, json: []string{`"ring 71"`}},
	{command: "motion", args: "{root}/testdata/motion/rocked-50-per-second-noisy.csv", table: []string{"mm"}, json: []string{`"readings"`}},
	{command: "study bias", args: "--file {root}/testdata/statistics/bias_15.csv --reference 6.0 --tolerance 3 --unit mm", table: []string{"Bias"}, json: []string{`"bias"`}},
	{command: "study capability", args: "--file {root}/testdata/statistics/bias_15.csv --reference 6.0 --tolerance 3 --unit mm", table: []string{"Cgk"}, json: []string{`"cgk"`}},
	{command: "study crossed", args: "--file {root}/testdata/statistics/grr_10x3x3.csv --tolerance 8 --unit mm", table: []string{"Repeatability"}, json: []string{`"components"`}},
	{command: "study linearity", args: "--file {root}/testdata/statistics/linewidth_calibration.csv --value y_reading --reference x_reference --tolerance 1", table: []string{"slope"}, json: []string{`"slope"`}},
	{command: "study nested", args: "--file {root}/testdata/statistics/grr_10x3x3.csv", table: []string{"Repeatability"}, json: []string{`"components"`}},
	{command: "study one-way", args: "--file {root}/testdata/statistics/gear_diameter.csv --group batch --value diameter", table: []string{"F"}, json: []string{`"groups"`}},
	{command: "study stability", args: "--file {root}/testdata/statistics/individuals_flowrate.csv --value x --reference 50", table: []string{"Not stable"}, json: []string{"{"}},
	{command: "master check", args: "--file {root}/internal/cli/testdata/checks/dial.csv --unit mm --mpe 0.004 --resolution 0.001", code: 4, table: []string{"passed", "failed"}, json: []string{"{"}},
	{command: "recall", args: "dial --file {root}/testdata/recall/jobs.csv --error 8um --standard-uncertainty 1um", code: 4, table: []string{"mm"}, json: []string{`"items"`}},
	{command: "ports", args: "--config {root}/deploy/demo/station.yaml", table: []string{"depth"}, json: []string{`"depth"`}},
	{command: "simulate", args: "{root}/deploy/demo/scenario.yaml --dir {new}", stdin: "set depth 46.4\npress depth\nquit\n", table: []string{"depth is at"}, plain: true},
	{command: "record", args: "{new}.jsonl --layout signed-line --unit mm --port {line} --for 1s", table: []string{"+1.250"}, plain: true},
	{command: "listen", args: "--port {line} --each 1s", table: []string{"signed-line"}, plain: true},
	{command: "replay", args: "{root}/testdata/logs/clean-stream.jsonl --at {new}", with: (*site).opened, table: []string{"Played"}, plain: true},

	// The gauges and the shop's files.
	{command: "gauge show", args: "depth", table: []string{"depth", "mm"}, json: []string{`"last_reading"`}},
	{command: "gauges", table: []string{"depth", "indicator", "lever", "mm", "in"}, json: []string{`"depth"`, `"last_reading"`}},
	{command: "watch", args: "--count 3", table: []string{"indicator", "mm"}, json: []string{`"indicator"`}},
	{command: "procedures", table: []string{"output-shaft-ring", "idler-thrust-washer"}, json: []string{`"output-shaft-ring"`}},
	{command: "procedure show", args: "output-shaft-ring", table: []string{"LR2-150", "gasket"}, json: []string{`"LR2-150"`}},
	{command: "procedures reload", table: []string{"."}, json: []string{"{"}},

	// A job on a gauge that sends, and its end before its time.
	{command: "job start", args: "idler-thrust-washer --unit-serial W-{form} --gauge *=lever --label order=A-{form}", table: []string{"W-", "Cautions"}, json: []string{`"W-`, `"idler-thrust-washer"`}},
	{command: "job acknowledge", args: "{job}", table: []string{"cautions"}, json: []string{`"id"`}},
	{command: "job capture", args: "{job}", before: (*site).leverMoved, table: []string{"lever"}, json: []string{`"lever"`}},
	{command: "job aside", args: "{job} --reason shift-ends --for next", table: []string{"set aside", "job resume"}, json: []string{`"JOB_STAGE_ASIDE"`, `"next"`}},
	{command: "jobs", args: "--aside", table: []string{"W-", "aside"}, json: []string{`"shift-ends"`}},
	{command: "job resume", args: "{job} --by next", table: []string{"next goes on"}, json: []string{`"JOB_STAGE_MEASURE"`}},
	{command: "job serial", args: "{job} WX-{form} --reason mistyped", table: []string{"WX-", "was said before"}, json: []string{`"WX-`, `"earlier_unit_serials"`}},
	{command: "job label", args: "{job} order=B-{form} customer=Miller --reason misread", table: []string{"customer Miller, order B-"}, json: []string{`"Miller"`, `"B-`}},
	{command: "jobs", args: "--label order=b{form}", table: []string{"WX-", "order B-"}, json: []string{`"Miller"`}},
	{command: "job discard", args: "{job} --reason slipped", table: []string{"slipped"}, json: []string{`"slipped"`}},
	{command: "job close", args: "{job} --reason given-up", table: []string{"closed"}, json: []string{`"given-up"`}},

	// A proof that goes back into the sum.
	{command: "job start", args: "idler-thrust-washer --unit-serial R-{form}", table: []string{"R-"}, json: []string{`"R-`}},
	{command: "job enter", args: "{job} 0.0243 in", table: []string{"0.0243 in"}, json: []string{`"0.0243"`}},
	{command: "job enter", args: "{job} 0.0244 in", table: []string{"LW2-076"}, json: []string{`"LW2-076"`}},
	{command: "job fit", args: "{job} --thickness 0.0759in", table: []string{"0.0759 in"}, json: []string{`"0.0759"`}},
	{command: "job enter", args: "{job} 0.0145 in", table: []string{"0.0145 in"}, json: []string{`"0.0145"`}},
	{command: "job enter", args: "{job} 0.0146 in", table: []string{"job round"}, json: []string{`"OUTCOME_DOES_NOT_CONFORM"`}},
	{command: "job round", args: "{job}", table: []string{"Round 2"}, json: []string{`"earlier_rounds"`, `"fitted_1"`}},
	{command: "job close", args: "{job} --reason given-up", table: []string{"closed"}, json: []string{`"given-up"`}},

	// A whole job, typed.
	{command: "job start", args: "idler-thrust-washer --unit-serial VERIFY-{form}", table: []string{"VERIFY-"}, json: []string{`"VERIFY-`}},
	{command: "job enter", args: "{job} 0.0243 in", table: []string{"0.0243 in"}, json: []string{`"0.0243"`}},
	{command: "job enter", args: "{job} 0.0244 in", table: []string{"LW2-076"}, json: []string{`"LW2-076"`}},
	{command: "job choose", args: "{job}", table: []string{"LW2-076"}, json: []string{`"LW2-076"`}},
	{command: "job fit", args: "{job} --thickness 0.0759in", table: []string{"0.0759 in"}, json: []string{`"0.0759"`}},
	{command: "job enter", args: "{job} 0.0085 in", table: []string{"0.0085 in"}, json: []string{`"0.0085"`}},
	{command: "job show", args: "{job}", table: []string{"LW2-076", "VERIFY-"}, json: []string{`"LW2-076"`}},
	{command: "job enter", args: "{job} 0.0086 in", table: []string{"Conforms"}, json: []string{`"OUTCOME_CONFORMS"`}},
	{command: "job verify", args: "{job}", table: []string{"Conforms"}, json: []string{`"OUTCOME_CONFORMS"`}},
	{command: "job close", args: "{job}", table: []string{"closed"}, json: []string{`"OUTCOME_CONFORMS"`}},
	{command: "job watch", args: "{job}", table: []string{"Conforms"}, json: []string{`"OUTCOME_CONFORMS"`}},
	{command: "jobs", table: []string{"L2-0417", "L2-0388", "VERIFY-"}, json: []string{`"L2-0417"`}},
	{command: "jobs", args: "--outcome conforms --since 1d --unit-serial L2-0417 --by demo --page-size 1", table: []string{"L2-0417"}, json: []string{`"L2-0417"`}},
	{
		command: "job run", args: "idler-thrust-washer --unit-serial RUN-{form}", stdin: "yes\n0.0243 in\n0.0244 in\n\n\n\n0.0085 in\n0.0086 in\n\n\n",
		table: []string{"Cautions", "LW2-076", "Conforms"}, plain: true,
	},
	{command: "job sheet", args: "1 --language de -o {new}.pdf", table: []string{"job 1 is written to"}, plain: true},
	{command: "job qif", args: "1 -o {new}.xml", table: []string{"job 1 is written to"}, plain: true},
	{command: "job show", args: "1", table: []string{"L2-0417", "LR2-150", "Conforms"}, json: []string{`"L2-0417"`, `"LR2-150"`, `"probability"`}},

	// What is stored.
	{command: "export readings", args: "--to {new}.parquet", table: []string{"readings up to entry"}, plain: true},
	{command: "export rejects", args: "--to {new}.csv", table: []string{"rejects"}, plain: true},
	{command: "export states", args: "--to {new}.jsonl", table: []string{"states up to entry"}, plain: true},
	{command: "export results", args: "--to {new}.csv", table: []string{"results are written to"}, plain: true},
	{command: "history job", args: "1", table: []string{"fitted", "LR2-150"}, json: []string{`"fitted"`}},
	{command: "history readings", args: "--gauge depth", table: []string{"depth", "mm"}, json: []string{`"depth"`}},
	{command: "history rejects", before: (*site).garbled, table: []string{"depth"}, json: []string{`"depth"`}},
	{command: "history states", args: "--since 1d", table: []string{"depth", "live"}, json: []string{`"GAUGE_STATE_LIVE"`}},
	{command: "history replay", table: []string{"All verdicts agree"}, json: []string{`"verdict_count"`}},
	{command: "history verify", table: []string{"are what was stored"}, json: []string{`"through_seq"`}},
	{command: "history backup", args: "{new}.db", table: []string{"was verified", "gauged-head-1"}, json: []string{`"head"`}},
	{command: "history restore", args: "{root}/testdata/history/schema10.db {new}.db", table: []string{"has the history up to fact"}, json: []string{`"facts"`}},
	{command: "history file", args: "{hash}", table: []string{"procedure: output-shaft-ring"}, json: []string{`"output-shaft-ring"`}},

	// Who may come in.
	{command: "access who", table: []string{"nobody is asked"}, json: []string{`"DOOR_OPEN"`}},
	{command: "access person add", args: "Walker --role technician --pin --by lead", stdin: "4711\n", table: []string{"Walker", "technician", "yes"}, json: []string{`"has_pin": true`}},
	{command: "access person change", args: "Walker --role quality --by lead", table: []string{"Walker", "quality"}, json: []string{`"ROLE_QUALITY"`}},
	{command: "access people", table: []string{"Walker"}, json: []string{`"Walker"`}},
	{command: "access person remove", args: "Walker --by lead", table: []string{"Walker is removed"}, plain: true},
	{command: "access token make", args: "walker-{form} --role reader --days 1 --by lead", table: []string{"walker-table", "gauged-token-"}, json: []string{`"secret"`}},
	{command: "access tokens", table: []string{"walker-table"}, json: []string{`"walker-json"`}},
	{command: "access token revoke", args: "{token} --by lead", table: []string{"is revoked"}, plain: true},
	{command: "access device pair", args: "--by lead", table: []string{"open the page on the device"}, json: []string{`"code"`}},
	{command: "access devices", table: []string{"There are no devices."}, json: []string{"{"}},
	{command: "access log", args: "--since 1d", table: []string{"person added", "token revoked"}, json: []string{`"ACCESS_EVENT_PERSON_ADDED"`}},
	{command: "access device unpair", args: "5c01a2b3 --by lead", code: 1, table: []string{"there is no device 5c01a2b3"}, plain: true},

	// What is handed on. Nobody is at the address of the bench with a past; docs/webhooks.md has one where somebody is.
	{command: "exits", table: []string{"There are no exits"}, json: []string{"{"}},
	{command: "exits", on: "past", table: []string{"orders", "verdict, job, gauge, check"}, json: []string{`"orders"`}},
	{command: "exit pause", on: "past", args: "orders --by lead", table: []string{"paused by lead"}, json: []string{`"EXIT_STATE_PAUSED"`}},
	{command: "exit resume", on: "past", args: "orders --by lead", table: []string{"orders"}, json: []string{`"orders"`}},
	{command: "exit letters", on: "past", args: "orders", table: []string{"Nothing was given up"}, json: []string{"{"}},
	{command: "exit send", on: "past", args: "orders --all --by lead", table: []string{"0 events"}, json: []string{"{"}},

	// Checks.
	{command: "master leave", args: "indicator --by quality", table: []string{"No check of indicator is under way."}, json: []string{`"count"`}},
	{command: "master begin", args: "indicator --at zero --by quality", table: []string{"indicator"}, json: []string{`"begun_seq"`}},
	{command: "master record", args: "indicator --at zero={readings} --by quality", before: (*site).indicatorAtZero, table: []string{"zero"}, json: []string{`"zero"`}},
	{command: "master import", on: "past", args: "dial {root}/internal/cli/testdata/checks/laboratory.csv --unit mm --by quality --dry-run", table: []string{"Laboratory A, certificate K-17", "dry run"}, json: []string{`"checks"`}},
	{command: "master sheet", on: "past", args: "dial --language de -o {new}.pdf", table: []string{"of dial is written to"}, plain: true},
	{command: "master dcc", on: "past", args: "dial -o {new}.xml", table: []string{"of dial is written to"}, plain: true},
	{command: "master void", args: "indicator {check} --reason mistaken", table: []string{"indicator"}, json: []string{`"indicator"`}},
	{command: "master recalled", on: "past", before: (*site).dialFailed, args: "dial --by quality --reason none-shipped", table: []string{"about the past jobs of dial is stored"}, json: []string{`"gauge_id"`}},
	{command: "master check", on: "past", args: "dial --by quality", stdin: "0.001 mm\n0.001 mm\n10.001 mm\n10.001 mm\n", table: []string{"As found: passed"}, json: []string{`"zero"`}},
	{command: "master zero", on: "past", args: "dial --value 0.001mm --by quality", table: []string{"zero"}, json: []string{`"zero"`}},
	{command: "checks", on: "past", table: []string{"dial", "spare", "block-10"}, json: []string{`"dial"`}},
	{command: "checks", on: "past", args: "dial", table: []string{"after a drop", "block-10"}, json: []string{`"after a drop"`}},
	{command: "master signs", on: "past", args: "dial", table: []string{"noise"}, json: []string{`"signs"`}},
	{command: "master standing", on: "past", args: "spare out-for-calibration --by quality --reason yearly", table: []string{"spare"}, json: []string{`"yearly"`}},
	{command: "history standings", on: "past", args: "--gauge spare", table: []string{"spare", "yearly"}, json: []string{`"yearly"`}},
	{command: "masters", on: "past", table: []string{"block-10"}, json: []string{`"block-10"`}},
	{command: "drift", on: "past", args: "dial", table: []string{"mm"}, json: []string{"{"}},
	{command: "recall", on: "past", args: "dial --error 60um --since 2020-01-01", code: 4, table: []string{"A-13"}, json: []string{`"A-13"`}},
	{command: "study bias", on: "past", args: "dial --master block-10", table: []string{"Bias"}, json: []string{`"bias"`}},
	{command: "studies", on: "past", table: []string{"dial", "crossed"}, json: []string{`"dial"`}},
	{command: "study show", on: "past", args: "{study}", table: []string{"epeatability"}, json: []string{`"figures"`}},
	{
		command: "study record", on: "past", args: "dial --kind capability --master zero --trials 10 --tolerance 0.1mm --sheet {new}.csv --by quality",
		stdin: strings.Repeat("0.001 mm\n0.002 mm\n", 5) + "\n", table: []string{"Cgk"}, json: []string{`"cgk"`},
	},
	{command: "status", on: "past", table: []string{"Daemon", "Nothing needs attention."}, json: []string{`"attention"`}},
}
