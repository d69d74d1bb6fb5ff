package config

import (
	"regexp"

	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// country is a code of ISO 3166-1 with two letters.
var country = regexp.MustCompile(`^[A-Z]{2}$`)

// readShop reads who works at the station. The rest of it is for papers that ask for it.
func readShop(v shopfile.Value) (s gauge.Shop) {
	if !v.Given() {
		return s
	}
	m := v.Map()
	s = gauge.Shop{
		Name: m.Need("name").Text(), Email: m.Get("email").Text(),
		Street: m.Get("street").Text(), Post: m.Get("post_code").Text(), City: m.Get("city").Text(),
	}
	if code := m.Get("country"); code.Given() {
		if s.Country = code.Text(); !country.MatchString(s.Country) {
			code.Wrong(gauge.Say("station.country", code.As("country")))
		}
	}
	m.Done()
	return s
}
