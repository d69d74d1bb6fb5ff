//go:build walk

package walk

// shown is what must be read at each route of the page, in any language: on the
// station of that name, and under "" on both. Parts of the path, such as {id},
// stand for what the address has there. A route of the page that is not here has
// not been thought of.
var shown = map[string]map[string][]string{
	"GET /{$}":                                {"demo": {"Lindau 2", "L2-0501"}, "past": {"intermediate shaft", "A-14"}},
	"GET /assets/{version}/{name}":            {},
	"GET /start":                              {"demo": {"L2-0417", "Lindau 2", "lever"}, "past": {"L2-0417", "dial"}},
	"GET /start/stream":                       {"demo": {"L2-0501"}, "past": {"A-14"}},
	"GET /jobs":                               {},
	"GET /jobs.csv":                           {},
	"GET /jobs/{id}":                          {"": {"{id}"}},
	"GET /jobs/{id}/stream":                   {},
	"GET /jobs/{id}/sheet":                    {"": {"{id}", "demo"}, "demo": {"L2-0"}, "past": {"A-"}},
	"GET /jobs/{id}/sheet.pdf":                {"": {"{id}", "demo"}, "demo": {"L2-0"}, "past": {"A-"}},
	"GET /gauges":                             {"demo": {"depth", "indicator", "lever"}, "past": {"dial", "spare"}},
	"GET /gauges/stream":                      {"demo": {"depth", "indicator", "lever"}, "past": {"dial", "spare"}},
	"GET /gauges/{id}":                        {"": {"{id}"}},
	"GET /gauges/{id}/stream":                 {},
	"GET /gauges/{id}/drift.svg":              {"past": {"dial"}},
	"GET /gauges/{id}/control/{chart}":        {"past": {"dial"}},
	"GET /gauges/{id}/checks/{seq}/sheet.pdf": {"": {"{id}"}, "past": {"quality"}},
	"GET /gauges/{id}/check":                  {"": {"{id}"}},
	"GET /gauges/{id}/check/stream":           {"": {"zero"}},
	"GET /gauges/{id}/study":                  {"": {"{id}"}},
	"GET /gauges/{id}/study/stream":           {},
	"GET /gauges/{id}/study/checks":           {"": {"{id}"}},
	"GET /gauges/{id}/study/checks/{chart}":   {},
	"GET /gauges/{id}/recall":                 {"": {"{id}"}},
	"GET /gauges/{id}/recall.csv":             {},
	"GET /studies/{seq}":                      {"past": {"dial", "quality"}},
	"GET /studies/{seq}/{chart}":              {},
	"GET /troubles/stream":                    {},
	"GET /procedures":                         {"demo": {"output-shaft-ring", "idler-thrust-washer", "output-shaft-rings"}, "past": {"intermediate-spacer", "spacers"}},
	"GET /procedures/{id}":                    {"": {"{id}"}},
	"GET /procedures/{id}/edit":               {"": {"{id}", "procedure: "}},
	"GET /parts/{id}":                         {"": {"{id}"}},
	"GET /parts/{id}/edit":                    {"": {"{id}", "family: "}},
	"GET /versions/{hash}":                    {},
	"GET /versions/{hash}/text":               {"": {"unit: "}},
	"GET /versions/{hash}/drawing":            {},
}

// shownAt is what must be read at one address, in any language.
var shownAt = map[string]map[string][]string{
	"demo": {
		"/jobs":                         {"L2-0417", "L2-0388", "L2-0501", "Lindau 2"},
		"/jobs/1":                       {"L2-0417", "LR2-150"},
		"/jobs/1/sheet":                 {"L2-0417", "LR2-150", "LR2-155", "case_depth", "gauge foot was not flat", "Depth gauge with a data button"},
		"/jobs/1/sheet.pdf":             {"L2-0417", "LR2-150", "LR2-155", "case_depth", "gauge foot was not flat", "Depth gauge with a data button"},
		"/jobs/2/sheet":                 {"L2-0388", "LW2-076", "Inch indicator that is asked for its value"},
		"/jobs/2/sheet.pdf":             {"L2-0388", "LW2-076", "Inch indicator that is asked for its value"},
		"/procedures/output-shaft-ring": {"Lindau 2", "output-shaft-rings"},
		"/parts/output-shaft-rings":     {"LR2-140", "LR2-165"},
		"/gauges/depth/check":           {"zero"},
	},
	"past": {
		"/jobs":              {"A-1", "A-13", "A-14"},
		"/jobs/13/sheet":     {"A-13", "SP-2", "Indicator that is read by eye"},
		"/jobs/14":           {"A-14", "SP-2"},
		"/gauges/dial":       {"block-10", "after a drop", "periodic"},
		"/gauges/dial/check": {"block-10"},
	},
}
