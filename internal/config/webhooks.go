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
	h := webhook.Hook{ID: id, Events: gauge.Events, GiveUpAfter: usualGiveUp}
	if url := m.Need("url"); url.Given() {
		h.URL = url.Text()
		if err := webhook.CheckURL(h.URL); err != nil {
			url.Wrong(gauge.Told(err))
		}
	}
	if file := m.Need("secret_file"); file.Given() {
		var err error
		if h.Secrets, err = webhook.ReadSecrets(l.path(file.Text()), l.getenv("CREDENTIALS_DIRECTORY")); err != nil {
			file.Wrong(gauge.Told(err))
		}
	}
	if ca := m.Get("ca"); ca.Given() {
		var err error
		if h.CA, err = readfile.Whole(l.path(ca.Text()), longestCA); err == nil {
			err = webhook.CheckCA(h.CA, ca.Text())
		}
		if err != nil {
			ca.Wrong(gauge.Told(err))
		}
	}
	if events := m.Get("events"); events.Given() {
		h.Events = nil
		for _, item := range events.Items() {
			h.Events = append(h.Events, gauge.Event(item.OneOf(eventWords()...)))
		}
		if len(h.Events) == 0 {
			events.Wrong(gauge.Say("station.hook-events", gauge.Texts("events", eventWords())))
		}
	}
	if after := m.Get("give_up_after"); after.Given() {
		h.GiveUpAfter = after.Duration()
		if _, err := time.ParseDuration(after.Text()); err == nil && (h.GiveUpAfter < leastGiveUp || h.GiveUpAfter > mostGiveUp) {
			after.Wrong(gauge.Say("station.hook-give-up", after.As("text")))
		}
	}
	m.Done()
	return h
}

// eventWords are the words of the events.
func eventWords() (words []string) {
	for _, e := range gauge.Events {
		words = append(words, string(e))
	}
	return words
}
