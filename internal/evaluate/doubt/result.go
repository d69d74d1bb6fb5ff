package doubt

import (
	"strings"

	"gauged/internal/evaluate/procedure"
	"gauged/internal/gauge"
)

// What stands in the name of a result beside what the shop named.
const (
	PlayWith  = "play with " // before the part whose predicted play it is
	Corrected = " corrected" // behind a measurement whose readings were multiplied
)

// results are the names of results that no shop gave, each with its text.
var results = map[string]string{
	"play": "word.play", "preload": "word.preload", "result": "word.result", "gap": "word.gap", "total of the places": "word.total-of-the-places",
	"verified play": "word.verified-play", "verified preload": "word.verified-preload", "verified result": "word.verified-result",
}

// Result says how a result is called whose name an evaluation has; a name that the shop
// gave stays as it is.
func Result(name string) gauge.Message {
	if place, of, ok := strings.Cut(name, ": "); ok {
		return gauge.Say("result.at_place", gauge.Text("place", place), gauge.Nested("of", Result(of)))
	}
	if part, ok := strings.CutPrefix(name, PlayWith); ok {
		return gauge.Say("result.play_with", gauge.Text("part", part))
	}
	if step, ok := strings.CutSuffix(name, Corrected); ok {
		return gauge.Say("result.corrected", gauge.Text("step", step))
	}
	if key, ok := results[name]; ok {
		return gauge.Say(key)
	}
	return gauge.Plain(name)
}

// Foretold is Result at a place whose closing dimension has that word: what is foretold of a
// part is a preload where a preload is wanted.
func Foretold(name string, word procedure.Word) gauge.Message {
	if place, of, ok := strings.Cut(name, ": "); ok {
		return gauge.Say("result.at_place", gauge.Text("place", place), gauge.Nested("of", Foretold(of, word)))
	}
	if part, ok := strings.CutPrefix(name, PlayWith); ok && word == procedure.WordPreload {
		return gauge.Say("result.preload_with", gauge.Text("part", part))
	}
	return Result(name)
}

// resultArg is the argument of a text for a result.
func resultArg(name, result string) gauge.Arg {
	says := Result(result)
	if _, shops := says.AsWritten(); shops {
		return gauge.Text(name, result)
	}
	return gauge.Nested(name, says)
}
