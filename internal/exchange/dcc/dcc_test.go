package dcc

import (
	"bytes"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/words"
)

const schema = "../../../testdata/exchange/dcc/dcc_3_1_2.xsd"

func mm(text string) gauge.Length { return gauge.MustLength(text, gauge.Millimetre) }

func one(text string) gauge.Length { return gauge.MustLength(text, gauge.One) }

// made is a check of an invented gauge; each change makes another kind of check of it.
func made(limit string, readings []string, changes ...func(*check.Record)) Input {
	step := mm("0.001")
	c := &check.Record{
		Seq: 61, Time: time.Date(2026, 9, 3, 7, 12, 0, 0, time.UTC), By: "Ada", Ability: gauge.Ability{Unit: gauge.Millimetre, Resolution: &step},
		Temperature: &check.Temperature{Above: one("1.5"), Tolerance: one("0.5")},
	}
	if limit != "" {
		most := mm(limit)
		c.Ability.Error = &most
	}
	block := check.Master{
		ID: "block-25", Value: mm("25.00012"), Serial: "G 25-7", Certified: &gauge.Expanded{Uncertainty: mm("0.00008"), K: one("2")},
		Certificate: &check.Certificate{Number: "K-4711", Laboratory: "Laboratory A", Date: time.Date(2026, 6, 30, 0, 0, 0, 0, time.UTC)},
	}
	in := check.Input{Ability: c.Ability, Temperature: c.Temperature}
	for _, p := range []check.Point{{Master: check.Master{ID: check.ZeroMaster}}, {Master: block}, {Master: block, Falling: true}} {
		for _, text := range readings {
			p.Readings = append(p.Readings, p.Master.Value+mm(text))
		}
		in.Points = append(in.Points, p)
		c.Points = append(c.Points, check.StoredPoint{Point: p, Seqs: []uint64{1, 2, 3}})
	}
	c.Result = check.Evaluate(in)
	for _, change := range changes {
		change(c)
	}
	return Input{
		Station: "bench-1", Version: "1.2", Shop: gauge.Shop{Name: "Shop", Email: "a@b.example", Country: "DE"}, Gauge: "dial", Check: c,
		Record: "gauged-head-1 61", Words: []words.Words{words.In("en"), words.In("de")}, Language: "en",
	}
}

func adjusted(c *check.Record) {
	left := c.Result
	c.Left, c.PointsLeft = &left, c.Points
}

var several = []string{"0.001", "0.002", "0.001"}

// TestEveryKindIsValid has another program check every kind of check against the schema.
func TestEveryKindIsValid(t *testing.T) {
	const odd = "A & B <c> \"d\" ]]> \x00\x1b\uFFFE \U0001F600 \xff ü"
	kinds := map[string]Input{
		"pass":        made("0.050", several),
		"fail":        made("0.0001", several, adjusted),
		"undecided":   made("0.002", several),
		"no limit":    made("", several),
		"one reading": made("0.050", several[:1]),
		"equal":       made("0.050", []string{"0", "0"}),
		"zero return": made("0.050", several, func(c *check.Record) { c.Zero, c.Temperature = true, nil }),
		"partial": made("0.050", several, func(c *check.Record) {
			c.Partial = gauge.Say("partial.readings", gauge.Count("readings", 3), gauge.Text("master", "plug"))
		}),
		"of old points": made("0.050", several, func(c *check.Record) {
			for i := range c.Result.Points {
				c.Result.Points[i].K, c.Result.Points[i].Verdict = 0, ""
			}
		}),
		"nothing known": made("", several, func(c *check.Record) { c.Result.Points[0].Standard = 0; c.Points = nil }),
		"odd texts": made("0.050", several, adjusted, func(c *check.Record) {
			c.By, c.Occasion, c.Remark, c.Plate = odd, odd, odd, gauge.Plate{Serial: odd, Maker: odd, Model: odd}
			for i := range c.Points {
				c.Points[i].Master.Title, c.Points[i].Master.Serial, c.Points[i].Master.Certificate = odd, odd, &check.Certificate{Number: odd}
			}
		}),
	}
	dir := t.TempDir()
	args := []string{"--nonet", "--noout", "--schema", schema}
	for name, in := range kinds {
		if name == "odd texts" {
			in.Shop.Name, in.Shop.City, in.Shop.Post, in.Shop.Street, in.Station, in.Title, in.Gauge, in.Language = odd, odd, odd, odd, odd, odd, odd, "de"
		}
		file := filepath.Join(dir, strings.ReplaceAll(name, " ", "-")+".xml")
		if err := os.WriteFile(file, render(t, in), 0o600); err != nil {
			t.Fatal(err)
		}
		args = append(args, file)
	}
	said, err := exec.Command("xmllint", args...).CombinedOutput()
	if got := strings.Count(string(said), " validates\n"); err != nil || got != len(kinds) {
		t.Fatalf("xmllint, of Debian's package libxml2-utils: %v; %d of %d are valid:\n%s", err, got, len(kinds), said)
	}
}

func render(t *testing.T, in Input) []byte {
	t.Helper()
	var b, again bytes.Buffer
	if err := Write(&b, in); err != nil {
		t.Fatal(err)
	}
	if err := Write(&again, in); err != nil || !bytes.Equal(b.Bytes(), again.Bytes()) {
		t.Fatalf("the same check is written otherwise: %v", err)
	}
	return b.Bytes()
}

// TestWhatADocumentSays reads a document back with another program: each figure of each
// point is that of the check, to its last digit.
func TestWhatADocumentSays(t *testing.T) {
	in := made("0.002", several, adjusted)
	in.Check.Plate.Serial = "SN <7>"
	file := filepath.Join(t.TempDir(), "check.xml")
	if err := os.WriteFile(file, render(t, in), 0o600); err != nil {
		t.Fatal(err)
	}
	reads := func(what, path, want string) {
		t.Helper()
		said, err := exec.Command("xmllint", "--nonet", "--xpath", "normalize-space("+path+")", file).Output()
		if got := string(bytes.TrimSpace(said)); err != nil || got != want {
			t.Errorf("%s: %q, want %q (%v)", what, got, want, err)
		}
	}
	local := func(path string) string {
		steps := strings.Split(path, "/")
		for i, s := range steps {
			name, rest, _ := strings.Cut(s, "[")
			if rest != "" {
				rest = "[" + rest
			}
			steps[i] = "*[local-name()='" + name + "']" + rest
		}
		return "//" + strings.Join(steps, "/")
	}
	for n, r := range []check.Result{in.Check.Result, *in.Check.Left} {
		for i, p := range r.Points {
			at := func(ref, rest string) string {
				return local(fmt.Sprintf("measurementResult[%d]/results/result/data/list[%d]/quantity[@refType='%s']/%s", n+1, i+1, ref, rest))
			}
			exactly := func(l gauge.Length) string {
				text := digits(l, gauge.Millimetre)
				if _, decimals, _ := strings.Cut(text, "."); len(decimals) < 3 {
					text = l.Text(gauge.Millimetre, 3) // as many as the display has
				}
				return text
			}
			reads("reference", at("basic_referenceValue", "real/value"), exactly(p.Reference))
			reads("mean", at("basic_measuredValue", "real/value"), exactly(p.Mean))
			reads("error", at("basic_measurementError", "real/value"), exactly(p.Error))
			reads("unit", at("basic_measurementError", "real/unit"), `\milli\metre`)
			reads("U", at("basic_measurementError", "real/expandedUnc/uncertainty"), digits(p.Expanded(), gauge.Millimetre))
			reads("k", at("basic_measurementError", "real/expandedUnc/coverageFactor"), number(p.Coverage()))
			reads("coverage", at("basic_measurementError", "real/expandedUnc/coverageProbability"), "0.95")
			reads("limit", at("basic_measurementError", "measurementMetaData/metaData/data/quantity[2]/real/value"), "0.002")
			reads("probability", at("basic_measurementError", "measurementMetaData/metaData/data/quantity[3]/real/value"), number(p.Within.Float()))
			reads("verdict", at("basic_measurementError", "measurementMetaData/metaData/conformity"), map[check.Verdict]string{check.Pass: "pass", check.Fail: "fail"}[p.Verdict])
		}
	}
	reads("serial", local("item/identifications/identification[2]/value"), "SN <7>")
	reads("gauge", local("item/identifications/identification[1]/value"), "dial")
	reads("maker", local("item/manufacturer/name/content[1]"), "maker not stated")
	reads("master", local("measurementResult[1]/measuringEquipments/measuringEquipment/measuringEquipmentQuantities/measuringEquipmentQuantity/real/value"), "25.00012")
	reads("one master", "count("+local("measurementResult[1]/measuringEquipments/measuringEquipment")+")", "1")
	reads("its certificate", local("measuringEquipment/description/content[1]"), "Calibration certificate K-4711 of Laboratory A, 2026-06-30")
	reads("temperature", local("measurementResult[1]/influenceConditions/influenceCondition/data/quantity/real/value"), "21.5")
	reads("as found", local("measurementResult[1]/influenceConditions/influenceCondition/status"), "beforeAdjustment")
	reads("readings", local("measurementResult[1]/results/result/data/list[2]/quantity[4]/realListXMLList/valueXMLList"), "25.00112 25.00212 25.00112")
	reads("the caution", "contains("+local("statement[1]/declaration/content[1]")+", 'no calibration by an accredited laboratory')", "true")
	reads("the rule", "contains("+local("statement[2]/declaration/content[2]")+", '95 %')", "true")
	reads("day", local("beginPerformanceDate"), "2026-09-03")
}

// TestDayAndSignsOfTheShop: the certificate has the day that the shop's clocks showed, which
// stands on the sheet too, and its German texts have decimal commas. Quantities have points.
func TestDayAndSignsOfTheShop(t *testing.T) {
	zone := time.Local
	t.Cleanup(func() { time.Local = zone })
	for offset, want := range map[int]string{-9: "2026-09-02", 0: "2026-09-03", 17: "2026-09-04"} {
		time.Local = time.FixedZone("here", offset*3600)
		got := string(render(t, made("0.050", several)))
		for _, text := range []string{
			"<dcc:beginPerformanceDate>" + want, "<dcc:endPerformanceDate>" + want,
			`<dcc:content lang="de">Bekannt auf ± 0,5 K<`, `<dcc:content lang="en">Known to ± 0.5 K<`,
			`<dcc:content lang="de">Erweiterte Unsicherheit nach Kalibrierschein 0,00008 mm, k = 2<`, "<si:value>25.00012<",
		} {
			if !strings.Contains(got, text) {
				t.Errorf("%d h from UTC: no %s in\n%s", offset, text, got)
			}
		}
	}
}

// TestDigitsOfTheDisplay: a reading keeps the zeros that the display showed.
func TestDigitsOfTheDisplay(t *testing.T) {
	in := made("0.050", []string{"0", "0.01"}, func(c *check.Record) {
		step := mm("0.01")
		c.Ability.Resolution = &step
		for i := range c.Points {
			c.Points[i].Readings = []gauge.Length{mm("25"), mm("25.1"), mm("25.01")}
		}
	})
	if got := string(render(t, in)); !strings.Contains(got, ">25.00 25.10 25.01</si:valueXMLList>") || !strings.Contains(got, "<si:value>0.00</si:value>") || !strings.Contains(got, "<si:value>25.00012</si:value>") {
		t.Error(got)
	}
}

// TestRefused: what is not known is not invented.
func TestRefused(t *testing.T) {
	bare := made("0.050", several)
	bare.Shop = gauge.Shop{Name: "Shop"}
	for want, in := range map[string]Input{
		"lacks email, country":          bare,
		"was declared void":             made("0.050", several, func(c *check.Record) { c.Voided = &check.Voided{} }),
		"was imported":                  made("0.050", several, func(c *check.Record) { c.Past = &check.Past{} }),
		"was stored without its points": made("0.050", several, func(c *check.Record) { c.Result.Points = nil }),
	} {
		var b bytes.Buffer
		if err := Write(&b, in); err == nil || !strings.Contains(words.In("en").Error(err), want) || b.Len() > 0 {
			t.Errorf("%v, want %q; %d bytes were written", err, want, b.Len())
		}
	}
}
