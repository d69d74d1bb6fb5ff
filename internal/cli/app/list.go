package app

import (
	"cmp"
	"context"
	"fmt"
	"io"
	"strings"
	"time"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"google.golang.org/grpc"
	"google.golang.org/protobuf/proto"
	"google.golang.org/protobuf/reflect/protoreflect"
	"google.golang.org/protobuf/types/known/timestamppb"
)

// List is what the flags of a list ask for: which part of it, and how much at once.
type List struct {
	Usual uint32 // entries that are shown when nobody says; 0: all, page after page

	given        func(flag string) bool
	since, until string
	size         uint32
	token        string
}

// Flags adds the flags of a list. That of times are for entries that have one.
func (l *List) Flags(cmd *cobra.Command, times bool) {
	if times {
		l.TimeFlags(cmd)
	}
	usual := "all, page after page"
	if l.Usual > 0 {
		usual = fmt.Sprint(l.Usual)
	}
	cmd.Flags().Var(countFlag{&l.size}, "page-size", "show a page of at most `N` entries (default "+usual+")")
	cmd.Flags().StringVar(&l.token, "page", "", "show the page that this `TOKEN` of the page before leads to")
}

// TimeFlags adds the flags of times alone, of what is never shown page by page.
func (l *List) TimeFlags(cmd *cobra.Command) {
	l.given = cmd.Flags().Changed
	cmd.Flags().StringVar(&l.since, "since", "", "only from this `TIME` on: a day such as 2026-03-01, 2026-03-01T14:30 here, RFC 3339, or an age such as 7d or 12h")
	cmd.Flags().StringVar(&l.until, "until", "", "only before this `TIME`; a day is the last one that belongs to it")
}

// Whole reports whether the list is shown to its end.
func (l *List) Whole() bool { return l.Usual == 0 && l.size == 0 && l.token == "" }

// Times writes the span of time that the flags ask for into a request of the contract.
func (l *List) Times(request proto.Message, now time.Time) error {
	for _, end := range []struct {
		flag, said string
		field      protoreflect.Name
		last       bool
	}{{"--since", l.since, "since_time", false}, {"--until", l.until, "until_time", true}} {
		if end.said == "" && (l.given == nil || !l.given(end.flag[2:])) {
			continue
		}
		at, err := when(end.said, now, end.last)
		if end.last && at.After(lastMoment) {
			at = lastMoment
		}
		if err != nil || !timestamppb.New(at).IsValid() {
			return Usagef("%s %q is not a time: write a day such as 2026-03-01, a time here such as 2026-03-01T14:30, a time in RFC 3339, or an age such as 7d, 12h or 30m", end.flag, end.said)
		}
		set(request, end.field, protoreflect.ValueOfMessage(timestamppb.New(at).ProtoReflect()))
	}
	return nil
}

// Fill writes all that the flags ask for.
func (l *List) Fill(request proto.Message, now time.Time) error {
	if err := l.Times(request, now); err != nil {
		return err
	}
	if size := cmp.Or(l.size, l.Usual); size > 0 {
		set(request, "page_size", protoreflect.ValueOfUint32(size))
	}
	if l.token != "" {
		set(request, "page_token", protoreflect.ValueOfString(l.token))
	}
	return nil
}

// lastMoment is the last one that the contract has: a day without an end is before it.
var lastMoment = time.Date(9999, time.December, 31, 23, 59, 59, 999_999_999, time.UTC)

// when reads a time as people say it. A day begins here; as a last one it ends with the
// beginning of the next.
func when(text string, now time.Time, last bool) (time.Time, error) {
	if at, err := time.ParseInLocation(time.DateOnly, text, time.Local); err == nil {
		if last {
			return at.AddDate(0, 0, 1), nil
		}
		return at, nil
	}
	for _, layout := range []string{"2006-01-02T15:04", "2006-01-02T15:04:05", "2006-01-02 15:04", "2006-01-02 15:04:05"} {
		if at, err := time.ParseInLocation(layout, text, time.Local); err == nil {
			return at, nil
		}
	}
	if number, unit, ok := age(text); ok {
		if unit == 'd' || unit == 'w' {
			return now.AddDate(0, 0, -number*map[byte]int{'d': 1, 'w': 7}[unit]), nil
		}
		return now.Add(-time.Duration(number) * map[byte]time.Duration{'h': time.Hour, 'm': time.Minute, 's': time.Second}[unit]), nil
	}
	return time.Parse(time.RFC3339, text)
}

// age reads such as 7d: a whole number of weeks, days, hours, minutes or seconds.
func age(text string) (number int, unit byte, ok bool) {
	if len(text) < 2 || len(text) > 7 || !strings.ContainsRune("wdhms", rune(text[len(text)-1])) {
		return 0, 0, false
	}
	for _, digit := range text[:len(text)-1] {
		if digit < '0' || digit > '9' {
			return 0, 0, false
		}
		number = number*10 + int(digit-'0')
	}
	return number, text[len(text)-1], true
}

// ShowList asks for a list as the flags say, shows it, and says how to get the next page.
func ShowList[Request proto.Message, Response listAnswer](ctx context.Context, a *App, d *Daemon, cmd *cobra.Command, l *List,
	call func(context.Context, Request, ...grpc.CallOption) (Response, error), request Request, table func(io.Writer, Response),
) error {
	if err := l.Fill(request, time.Now()); err != nil {
		return err
	}
	ask := Ask[Request, Response]
	if l.Whole() {
		ask = All[Request, Response]
	}
	answer, err := ask(ctx, d, call, request)
	if err != nil {
		return err
	}
	if err := a.Show(answer, func(w io.Writer) { table(w, answer) }); err != nil {
		return err
	}
	l.Next(a, cmd, request, answer.GetNextPageToken())
	return nil
}

// Next says on the error output how to get the page after one, if there is one. Ages are
// written as the times that they were, for the next page is of the same list.
func (l *List) Next(a *App, cmd *cobra.Command, request proto.Message, token string) {
	if token == "" {
		return
	}
	words := append([]string{cmd.CommandPath()}, cmd.Flags().Args()...)
	cmd.Flags().Visit(func(f *pflag.Flag) {
		value := f.Value.String()
		switch f.Name {
		case "page":
			return
		case "since", "until":
			at := request.ProtoReflect().Get(request.ProtoReflect().Descriptor().Fields().ByName(protoreflect.Name(f.Name + "_time"))).Message().Interface().(*timestamppb.Timestamp)
			value = at.AsTime().Format(time.RFC3339Nano)
		}
		if f.Value.Type() == "bool" {
			words = append(words, "--"+f.Name)
			return
		}
		words = append(words, "--"+f.Name, quoted(value))
	})
	fmt.Fprintf(a.Stderr, "gaugectl: there are more; the next page: %s --page %s\n", strings.Join(words, " "), token)
}

// quoted is a word as a shell takes it for one.
func quoted(word string) string {
	if strings.Trim(word, "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_./:=+%,@") == "" && word != "" {
		return word
	}
	return "'" + strings.ReplaceAll(word, "'", `'\''`) + "'"
}
