package show

import (
	"strings"

	pb "gauged/api/gauged/v1"
	"gauged/internal/gauge"
	"gauged/internal/wire"
	"gauged/internal/words"
)

// english are the texts of this command line.
func english() words.Words { return words.In(words.English) }

// Told words a message of the daemon; empty for none.
func Told(m *pb.Message) string { return english().Tell(wire.FromMessage(m)) }

// Says words a message that was computed here.
func Says(m gauge.Message) string { return english().Tell(m) }

// ToldAll words several messages of the daemon.
func ToldAll(all []*pb.Message) (texts []string) {
	for _, m := range all {
		texts = append(texts, Told(m))
	}
	return texts
}

// Sentence is Told with its full stop, where a text was stored without.
func Sentence(m *pb.Message) string {
	text := Told(m)
	if text == "" || strings.ContainsAny(text[len(text)-1:], ".!?") {
		return text
	}
	return text + "."
}
