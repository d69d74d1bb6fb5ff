package config

import (
	"strings"

	"gauged/internal/exits/letter"
	"gauged/internal/shopfile"
	"gauged/internal/traces"
)

// traces reads where traces of jobs and calls go.
func (l *loader) traces(v shopfile.Value) (c traces.Collector) {
	if !v.Given() {
		return c
	}
	m := v.Map()
	if to := m.Need("to"); to.Given() {
		c.URL = to.Text()
		wrongBecause(to, traces.CheckURL(c.URL))
	}
	c.CA = l.authorities(m.Get("ca"))
	if file := m.Get("token_file"); file.Given() {
		token, err := letter.ReadSecret(l.path(file.Text()), traces.LongestToken, l.getenv("CREDENTIALS_DIRECTORY"))
		wrongBecause(file, err)
		c.Token = strings.TrimSpace(string(token))
	}
	m.Done()
	return c
}
