package config

import (
	"time"

	"gauged/internal/exits/webhook"
	"gauged/internal/gauge"
	"gauged/internal/readfile"
	"gauged/internal/shopfile"
)

// What webhooks may be.
const (
	mostHooks   = 20
	longestCA   = 4 << 20 // bytes
	usualGiveUp = 3 * day
	leastGiveUp = time.Minute
	mostGiveUp  = 365 * day
)

// webhooks reads the addresses that are told what happens.
func (l *loader) webhooks(v shopfile.Value) (all []webhook.Hook) {
	if !v.Given() {
		return nil
	}
	for _, e := range v.Map().Names() {
		all = append(all, l.webhook(e.Key.Word(), e.Value))
	}
	if len(all) > mostHooks {
		v.Wrong(gauge.Say("station.hooks-many", gauge.Count("hooks", len(all)), gauge.Count("most", mostHooks)))
	}
	return all
}

func (l *loader) webhook(id string, v shopfile.Value) webhook.Hook {
	m := v.Map()
	h := webhook.Hook{ID: id}
	if url := m.Need("url"); url.Given() {
		h.URL = url.Text()
		wrongBecause(url, webhook.CheckURL(h.URL))
	}
	if file := m.Need("secret_file"); file.Given() {
		var err error
		h.Secrets, err = webhook.ReadSecrets(l.path(file.Text()), l.getenv("CREDENTIALS_DIRECTORY"))
		wrongBecause(file, err)
	}
	h.CA = l.authorities(m.Get("ca"))
	h.Events = events(m.Get("events"))
	h.GiveUpAfter = giveUpAfter(m.Get("give_up_after"))
	m.Done()
	return h
}

// authorities reads the file of those who vouch for the other end; nil: none is named.
func (l *loader) authorities(v shopfile.Value) []byte {
	if !v.Given() {
		return nil
	}
	content, err := readfile.Whole(l.path(v.Text()), longestCA)
	if err == nil {
		err = webhook.CheckCA(content, v.Text())
	}
	wrongBecause(v, err)
	return content
}

// events are those that an exit tells of; all where none are named.
func events(v shopfile.Value) (all []gauge.Event) {
	if !v.Given() {
		return gauge.Events
	}
	for _, item := range v.Items() {
		all = append(all, gauge.Event(item.OneOf(eventWords()...)))
	}
	if len(all) == 0 {
		v.Wrong(gauge.Say("station.hook-events", gauge.Texts("events", eventWords())))
	}
	return all
}

// giveUpAfter is how long an exit tries a letter.
func giveUpAfter(v shopfile.Value) time.Duration {
	if !v.Given() {
		return usualGiveUp
	}
	after := v.Duration()
	if _, err := time.ParseDuration(v.Text()); err == nil && (after < leastGiveUp || after > mostGiveUp) {
		v.Wrong(gauge.Say("station.hook-give-up", v.As("text")))
	}
	return after
}

// eventWords are the words of the events.
func eventWords() (words []string) {
	for _, e := range gauge.Events {
		words = append(words, string(e))
	}
	return words
}
