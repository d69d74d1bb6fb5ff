package gauge

import (
	"encoding/json"
	"fmt"
	"reflect"
	"strconv"
	"strings"
	"time"
)

// Message is something to tell a person, before it is worded: the code of a text in
// the catalogue and what is filled into that text. It is worded where it is shown, in
// the language of who reads it (see words.Tell). Equal messages have equal JSON, so
// that one can be stored and computed again.
//
// A message without a code is a text as somebody wrote it: see Plain.
type Message struct {
	Code string
	Args []Arg
}

// Say returns the message of a code.
func Say(code string, args ...Arg) Message { return Message{code, args} }

// Plain is a text that is shown as it is in every language: what a shop wrote, or a
// sentence that was stored before messages had codes. Its JSON is the text alone.
func Plain(text string) Message {
	if text == "" {
		return Message{}
	}
	return Message{Args: []Arg{{Text: text}}}
}

// IsZero reports whether there is nothing to tell.
func (m Message) IsZero() bool { return m.Code == "" && len(m.Args) == 0 }

// AsWritten returns the text of a Plain message.
func (m Message) AsWritten() (text string, ok bool) {
	if m.Code != "" || len(m.Args) != 1 {
		return "", false
	}
	return m.Args[0].Text, true
}

// Arg returns the argument of a name.
func (m Message) Arg(name string) (Arg, bool) {
	for _, a := range m.Args {
		if a.Name == name {
			return a, true
		}
	}
	return Arg{}, false
}

// Equal reports whether both say the same.
func (m Message) Equal(o Message) bool { return reflect.DeepEqual(m, o) }

// String writes code and arguments, for logs and for what the catalogue has no text for.
func (m Message) String() string {
	if text, ok := m.AsWritten(); ok {
		return text
	}
	parts := []string{m.Code}
	for _, a := range m.Args {
		parts = append(parts, a.Name+"="+a.String())
	}
	return strings.Join(parts, " ")
}

// sentences is the code of several messages, one after the other.
const sentences = "list.all"

// Sentences is several messages one after the other.
func Sentences(all ...Message) Message {
	var said []Arg
	for _, m := range all {
		switch {
		case m.IsZero():
		case m.Code == sentences:
			said = append(said, m.Args[0].List...)
		default:
			said = append(said, Nested("", m))
		}
	}
	switch len(said) {
	case 0:
		return Message{}
	case 1:
		return *said[0].Message
	}
	return Say(sentences, List("all", said...))
}

// message is Message without its methods.
type message struct {
	Code string `json:"code"`
	Args []Arg  `json:"args,omitempty"`
}

// MarshalJSON writes code and arguments, and a Plain message as its text.
func (m Message) MarshalJSON() ([]byte, error) {
	if text, ok := m.AsWritten(); ok {
		return json.Marshal(text)
	}
	return json.Marshal(message(m))
}

// UnmarshalJSON reads what MarshalJSON writes: a text is a Plain message.
func (m *Message) UnmarshalJSON(content []byte) error {
	if len(content) > 0 && content[0] == '"' {
		var text string
		if err := json.Unmarshal(content, &text); err != nil {
			return err
		}
		*m = Plain(text)
		return nil
	}
	var read message
	err := json.Unmarshal(content, &read)
	*m = Message(read)
	return err
}

// Arg is what is filled in at one placeholder, which has its name. Of the other fields
// those of one kind are set: make one by Text, Shown, Count, Chance, Word, List, Nested,
// Moment or Span. In a List it has no name.
type Arg struct {
	Name    string         `json:"name,omitempty"`
	Text    string         `json:"text,omitempty"`    // as the shop wrote it: a name, a part number, a path
	Digits  string         `json:"digits,omitempty"`  // a number as it is shown, with a decimal point
	Unit    Unit           `json:"unit,omitempty"`    // of the digits; unknown where none is shown
	Count   *int64         `json:"count,omitempty"`   // how many, or the number of a job or a reading
	Chance  *int           `json:"chance,omitempty"`  // a probability in ten-thousandths
	Word    string         `json:"word,omitempty"`    // the key of a text in the catalogue into which nothing is filled in
	List    []Arg          `json:"list,omitempty"`    // several, in their order
	Message *Message       `json:"message,omitempty"` // a part of the sentence, or a sentence of its own
	Moment  *time.Time     `json:"moment,omitempty"`
	Span    *time.Duration `json:"span,omitempty"` // in nanoseconds
}

// String writes the argument without its name.
func (a Arg) String() string {
	switch {
	case a.Digits != "":
		return strings.TrimSpace(a.Digits + " " + a.Unit.String())
	case a.Count != nil:
		return strconv.FormatInt(*a.Count, 10)
	case a.Chance != nil:
		return fmt.Sprintf("%d.%02d %%", *a.Chance/100, *a.Chance%100)
	case a.Word != "":
		return a.Word
	case a.List != nil:
		texts := make([]string, len(a.List))
		for i, item := range a.List {
			texts[i] = item.String()
		}
		return "[" + strings.Join(texts, ", ") + "]"
	case a.Message != nil:
		return "(" + a.Message.String() + ")"
	case a.Moment != nil:
		return a.Moment.Format(time.RFC3339)
	case a.Span != nil:
		return a.Span.String()
	}
	return strconv.Quote(a.Text)
}

// Text is a name or a text as the shop wrote it.
func Text(name, text string) Arg { return Arg{Name: name, Text: text} }

// Shown is a number with the digits that are shown, and its unit: UnitUnknown where none
// is written behind it.
func Shown(name, digits string, u Unit) Arg { return Arg{Name: name, Digits: digits, Unit: u} }

// Typed is what a person typed as a number, maybe with its unit: it is shown again with
// the decimal sign of who reads it. What does not begin as a number stays as it is.
func Typed(name, text string) Arg {
	number := strings.TrimRight(text, " abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ")
	if number == "" || strings.Trim(number, "+-.0123456789") != "" {
		return Text(name, text)
	}
	return Shown(name, text, UnitUnknown)
}

// Count is how many there are, or a number of the history. A text may have another word
// for one than for several.
func Count[N ~int | ~int32 | ~int64 | ~uint32 | ~uint64](name string, n N) Arg {
	count := int64(n)
	if n > 0 && count < 0 { // of 64 bits without a sign
		return Text(name, strconv.FormatUint(uint64(n), 10))
	}
	return Arg{Name: name, Count: &count}
}

// Chance is a probability in ten-thousandths.
func Chance(name string, tenThousandths int) Arg { return Arg{Name: name, Chance: &tenThousandths} }

// Word is a word of the catalogue by its key.
func Word(name, key string) Arg { return Arg{Name: name, Word: key} }

// WordOf is the word of the catalogue for a value of a closed list, such as an outcome:
// its key is that of the group, a dot, and the value with hyphens between its words.
func WordOf[V ~string](name, group string, value V) Arg {
	return Word(name, group+"."+Key(string(value)))
}

// Key makes the last part of a key out of a value of a closed list: its words with
// hyphens between them, without commas.
func Key(value string) string { return hyphens.Replace(value) }

var hyphens = strings.NewReplacer(" ", "-", ",", "")

// List is several arguments of one kind.
func List(name string, items ...Arg) Arg { return Arg{Name: name, List: items} }

// Texts is a List of texts as the shop wrote them.
func Texts(name string, texts []string) Arg {
	items := make([]Arg, len(texts))
	for i, t := range texts {
		items[i] = Text("", t)
	}
	return List(name, items...)
}

// Nested is a message within a message.
func Nested(name string, m Message) Arg { return Arg{Name: name, Message: &m} }

// Moment is a point in time, without its zone: it is shown in that of who reads it.
func Moment(name string, t time.Time) Arg {
	t = t.UTC()
	return Arg{Name: name, Moment: &t}
}

// Span is how long something takes or took.
func Span(name string, d time.Duration) Arg { return Arg{Name: name, Span: &d} }
