package dcc

import (
	"cmp"
	"crypto/sha256"
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/words"
)

// Input is what a document tells of.
type Input struct {
	Station, Version string // Version is that of this program
	Shop             gauge.Shop
	Gauge, Title     string // id and title of the gauge
	Check            *check.Record
	Record           string // signed head of the history that the check stands in; empty: not said

	Words    []words.Words  // a text of the document is there in each of these languages
	Language words.Language // which of them binds
}

// Write writes the document.
func Write(w io.Writer, in Input) error {
	if err := in.lacks(); err != nil {
		return err
	}
	b := &builder{Input: in}
	root := el("dcc:digitalCalibrationCertificate", attr("xmlns:dcc", "https://ptb.de/dcc"), attr("xmlns:si", "https://ptb.de/si"), attr("schemaVersion", "3.1.2"),
		b.administrative(), b.results())
	if b.err != nil {
		return b.err
	}
	if _, err := io.WriteString(w, xml.Header); err != nil {
		return err
	}
	encoder := xml.NewEncoder(w)
	encoder.Indent("", "  ")
	if err := encoder.Encode(root); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// lacks refuses a check that no document can be made of, with the reason.
func (in Input) lacks() error {
	c, of := in.Check, []gauge.Arg{gauge.Count("check", in.Check.Seq), gauge.Text("gauge", in.Gauge)}
	switch {
	case c.Voided != nil:
		return gauge.Refused("refusal.document.void", of...)
	case c.Past != nil:
		return gauge.Refused("refusal.document.past", of...)
	case len(c.Result.Points) == 0:
		return gauge.Refused("refusal.document.no-points", of...)
	}
	var missing []string
	for _, fact := range [][2]string{{"name", in.Shop.Name}, {"email", in.Shop.Email}, {"country", in.Shop.Country}} {
		if fact[1] == "" {
			missing = append(missing, fact[0])
		}
	}
	if missing != nil {
		return gauge.Refused("refusal.document.shop", gauge.Texts("missing", missing))
	}
	return nil
}

// builder makes the elements; the first text that is missing is its error.
type builder struct {
	Input
	err error
}

// content is a text in each language.
func (b *builder) content(key string, args ...any) (all []element) {
	for _, w := range b.Words {
		text, err := w.Say(key, inLanguage(w, args)...)
		if b.err == nil {
			b.err = err
		}
		all = append(all, el("dcc:content", attr("lang", string(w.Language())), text))
	}
	return all
}

// decimal is a number in a text, which has the decimal sign of the language. Numbers of
// quantities have a point.
type decimal string

// inLanguage writes numbers and days as a language does.
func inLanguage(w words.Words, args []any) []any {
	all := slices.Clone(args)
	for i, arg := range args {
		switch x := arg.(type) {
		case decimal:
			all[i] = w.Number(string(x))
		case time.Time:
			if all[i] = "-"; !x.IsZero() {
				all[i] = w.Day(x)
			}
		}
	}
	return all
}

func (b *builder) told(m gauge.Message) (all []element) {
	for _, w := range b.Words {
		all = append(all, el("dcc:content", attr("lang", string(w.Language())), w.Tell(m)))
	}
	return all
}

func (b *builder) name(key string, args ...any) element {
	return el("dcc:name", b.content(key, args...))
}

// plain is a text that somebody of the shop wrote, in whatever language.
func plain(text string) []element { return []element{el("dcc:content", text)} }

func (b *builder) administrative() element {
	languages := make([]element, len(b.Words))
	for i, w := range b.Words {
		languages[i] = el("dcc:usedLangCodeISO639_1", string(w.Language()))
	}
	day := b.Words[0].Day(b.Check.Time) // of the shop, as on the sheet
	person := el("dcc:respPerson", el("dcc:person", el("dcc:name", plain(b.Check.By))), el("dcc:mainSigner", "true"), el("dcc:cryptElectronicSignature", "false"))
	return el("dcc:administrativeData",
		el("dcc:dccSoftware", el("dcc:software", el("dcc:name", plain("gauged")), el("dcc:release", cmp.Or(b.Version, "unknown")), el("dcc:type", "application"))),
		el("dcc:coreData",
			el("dcc:countryCodeISO3166_1", b.Shop.Country), languages, el("dcc:mandatoryLangCodeISO639_1", string(b.Language)),
			el("dcc:uniqueIdentifier", b.id()),
			el("dcc:identifications", identification("calibrationLaboratory", fmt.Sprint(b.Check.Seq), b.name("dcc.check"))),
			el("dcc:beginPerformanceDate", day), el("dcc:endPerformanceDate", day), el("dcc:performanceLocation", "laboratory")),
		el("dcc:items", b.item()),
		el("dcc:calibrationLaboratory", el("dcc:contact", b.contact())),
		el("dcc:respPersons", person),
		el("dcc:customer", b.contact()),
		el("dcc:statements", b.statements()),
	)
}

// id is a UUID of version 8 (RFC 9562): one check of a station has one, in each language
// that binds another.
func (b *builder) id() string {
	h := sha256.Sum256(fmt.Appendf(nil, "%q %q %q %d %d %q", b.Shop.Name, b.Station, b.Gauge, b.Check.Seq, b.Check.Time.UnixNano(), b.Language))
	h[6] = h[6]&0x0f | 0x80
	h[8] = h[8]&0x3f | 0x80
	return fmt.Sprintf("%x-%x-%x-%x-%x", h[:4], h[4:6], h[6:8], h[8:10], h[10:16])
}

func identification(issuer, value string, name element) element {
	return el("dcc:identification", el("dcc:issuer", issuer), el("dcc:value", value), name)
}

func (b *builder) item() element {
	maker := b.name("dcc.not-stated")
	if b.Check.Plate.Maker != "" {
		maker = el("dcc:name", plain(b.Check.Plate.Maker))
	}
	ids := el("dcc:identifications", identification("owner", b.Gauge, b.name("sheet.head.gauge")))
	if serial := b.Check.Plate.Serial; serial != "" {
		ids.add(identification("manufacturer", serial, b.name("sheet.serial")))
	}
	return el("dcc:item", el("dcc:name", plain(cmp.Or(b.Title, b.Gauge))), el("dcc:manufacturer", maker), given("dcc:model", b.Check.Plate.Model), ids)
}

func (b *builder) contact() []element {
	s := b.Shop
	return []element{
		el("dcc:name", plain(s.Name)), el("dcc:eMail", s.Email),
		el("dcc:location", given("dcc:city", s.City), el("dcc:countryCode", s.Country), given("dcc:postCode", s.Post), given("dcc:street", s.Street)),
	}
}

// statements are what the check is, by which rule it was decided, and what keeps it from
// counting as the one that is due.
func (b *builder) statements() (all []element) {
	add := func(content []element) { all = append(all, el("dcc:statement", el("dcc:declaration", content))) }
	add(b.content("sheet.check.foot"))
	if b.Check.Result.Limit != nil {
		add(b.content("sheet.check.rule"))
	}
	if b.Check.Zero {
		add(b.content("sheet.check.zero"))
	}
	if !b.Check.Partial.IsZero() {
		add(b.told(b.Check.Partial))
	}
	for _, text := range []string{b.Check.Occasion, b.Check.Remark} {
		if text != "" {
			add(plain(text))
		}
	}
	if b.Record != "" {
		add(slices.Concat(b.content("sheet.record.what"), plain(b.Record)))
	}
	return all
}
