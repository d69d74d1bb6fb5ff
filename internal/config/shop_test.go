package config

import (
	"context"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"gauged/internal/gauge"
	"gauged/internal/health/check"
	"gauged/internal/wire"
)

// TestWhatPapersName: shop, plates of the gauges, and the certificates of masters.
func TestWhatPapersName(t *testing.T) {
	read := func(text string) (*Config, error) {
		path := filepath.Join(t.TempDir(), "station.yaml")
		if err := os.WriteFile(path, []byte(text), 0o600); err != nil {
			t.Fatal(err)
		}
		return Load(context.Background(), path, func(string) string { return "" })
	}
	c, err := read(`station: b
shop: {name: A & B, email: a@b.example, street: Mill Lane 3, post_code: "04109", city: Leipzig, country: NO}
gauges: {dial: {typed: yes, unit: mm, serial_number: "0042", maker: made up, model: M-1}}
masters: {block: {unit: mm, value: 25, serial_number: "7", calibration: {uncertainty: 0.0001, k: 2, certificate: K-17, laboratory: Laboratory A, date: 2026-06-30}}, plug: {unit: in, value: 1.00002}}
`)
	if err != nil {
		t.Fatal(err)
	}
	if want := (gauge.Shop{Name: "A & B", Email: "a@b.example", Street: "Mill Lane 3", Post: "04109", City: "Leipzig", Country: "NO"}); c.Shop != want {
		t.Errorf("%+v", c.Shop)
	}
	if want := (gauge.Plate{Serial: "0042", Maker: "made up", Model: "M-1"}); c.Gauges[0].Plate != want {
		t.Errorf("%+v", c.Gauges[0].Plate)
	}
	m := c.Masters["block"]
	if want := (check.Certificate{Number: "K-17", Laboratory: "Laboratory A", Date: time.Date(2026, 6, 30, 0, 0, 0, 0, time.UTC)}); m.Serial != "7" || m.Certificate == nil || *m.Certificate != want {
		t.Errorf("%+v", m)
	}
	for id, want := range map[string]string{"block": "25 mm", "plug": "1.00002 in"} { // in the unit of the file
		if got := wire.Master(c.Masters[id], c.Masters[id].Unit, time.Now()).GetValue(); got.GetText()+" "+wire.FromUnit(got.GetUnit()).String() != want {
			t.Errorf("%s is %v, want %s", id, got, want)
		}
	}
	for text, want := range map[string]string{
		"shop: {country: DE}":          `"name" is missing`,
		"shop: {name: A, country: de}": `station.yaml:2:26: "de" is not a country`,
		"masters: {b: {unit: mm, value: 1, calibration: {uncertainty: 0.0001, k: 2, date: 2026-02-30}}}": `"2026-02-30" is not a day`,
	} {
		if _, err := read("station: b\n" + text + "\n"); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v, want %s", text, err, want)
		}
	}
}
