package config

import (
	"net/netip"
	"slices"
	"strings"

	"gauged/internal/access"
	"gauged/internal/gauge"
	"gauged/internal/shopfile"
)

// openWord is what the section access says where nobody is asked who they are.
const openWord = "open"

// access reads who may come in. A station that says nothing of it is closed.
// names are those that users, groups and certificates have in what they do.
func readAccess(v shopfile.Value) (r access.Rules, names []access.PlacedName) {
	switch {
	case !v.Given():
		return r, nil
	case !v.IsMap():
		r.Open = v.OneOf(openWord) == openWord
		return r, nil
	}
	m := v.Map()
	var found named
	r.Users = found.grants(m.Get("users"), true)
	r.Groups = found.grants(m.Get("groups"), false)
	r.Certificates = found.grants(m.Get("certificates"), true)
	for _, proxy := range m.Get("proxies").Items() {
		if prefix, ok := network(proxy.Text()); ok {
			r.Proxies = append(r.Proxies, prefix)
		} else {
			proxy.Wrong(gauge.Say("station.no-proxy", proxy.As("address")))
		}
	}
	r.Names = m.Get("names").Texts()
	m.Done()
	return r, found.names
}

// named are the names of users, groups and certificates, as they are found in the file.
type named struct {
	names  []access.PlacedName
	before []string
}

// add takes up a name, and says of one that looks like another what is wrong with it.
func (n *named) add(at shopfile.Value, name string) {
	if err := access.CheckName(name, slices.Clone(n.before)); err != nil {
		at.Wrong(gauge.Told(err))
	}
	n.before = append(n.before, name)
	n.names = append(n.names, access.PlacedName{Name: name, Place: at.Position()})
}

// IsOpen says that nobody is asked who they are, where it is so; zero where they are.
func (c *Config) IsOpen() gauge.Message {
	if !c.Access.Open {
		return gauge.Message{}
	}
	return gauge.Say("station.open")
}

// network reads an address, or a network as its address and the bits that are fixed.
func network(text string) (netip.Prefix, bool) {
	if prefix, err := netip.ParsePrefix(text); err == nil {
		return prefix.Masked(), true
	}
	at, err := netip.ParseAddr(text)
	return netip.PrefixFrom(at, at.BitLen()), err == nil
}

// grants reads what those get who are known elsewhere, by their names there: a role, or a
// mapping with it. Who has no other name goes by the one there, if it is one of their own.
func (n *named) grants(v shopfile.Value, own bool) map[string]access.Grant {
	if !v.Given() {
		return nil
	}
	m := v.Map()
	all := map[string]access.Grant{}
	for _, e := range m.Entries() {
		g, at := grant(e.Value)
		switch all[e.Key.Text()] = g; {
		case g.Name != "":
			n.add(at, g.Name)
		case own:
			n.add(e.Key, e.Key.Text())
		}
	}
	m.Done()
	return all
}

// grant reads what somebody gets, and returns where their name stands.
func grant(v shopfile.Value) (g access.Grant, name shopfile.Value) {
	if !v.IsMap() {
		g.Role = role(v)
		return g, name
	}
	m := v.Map()
	g.Role = role(m.Need("role"))
	name = m.Get("name")
	g.Name = strings.TrimSpace(name.Text())
	g.Sender = m.Get("sender").Text()
	g.Gauges = m.Get("gauges").Texts()
	m.Done()
	return g, name
}

func role(v shopfile.Value) access.Role {
	r, _ := access.ParseRole(v.OneOf(access.RoleWords()...))
	return r
}

// tls reads where certificates come from.
func (l *loader) tls(v shopfile.Value) (t access.TLS) {
	if !v.Given() {
		return t
	}
	m := v.Map()
	t.Own = m.Get("own").Given() && m.Get("own").Bool()
	for key, to := range map[string]*string{"certificate": &t.Certificate, "key": &t.Key, "clients": &t.Clients} {
		if at := m.Get(key); at.Given() {
			*to = l.path(at.Text())
		}
	}
	t.Names = m.Get("names").Texts()
	switch {
	case t.Own && t.Certificate+t.Key != "":
		v.Wrong(gauge.Say("station.certificate-twice"))
	case !t.Own && (t.Certificate == "" || t.Key == ""):
		v.Wrong(gauge.Say("station.certificate-missing"))
	case !t.Own && len(t.Names) > 0:
		m.Get("names").Wrong(gauge.Say("station.certificate-names"))
	}
	m.Done()
	return t
}

// evaluator reads the address of the daemon that runs the jobs, alone or with what is
// shown there.
func (l *loader) evaluator(c *Config, v shopfile.Value) {
	if !v.IsMap() {
		c.Evaluator = v.Text()
		return
	}
	m := v.Map()
	c.Evaluator = m.Need("address").Text()
	for key, to := range map[string]*string{
		"ca": &c.EvaluatorFiles.CA, "token_file": &c.EvaluatorFiles.Token, "certificate": &c.EvaluatorFiles.Certificate, "key": &c.EvaluatorFiles.Key,
	} {
		if at := m.Get(key); at.Given() {
			*to = l.path(at.Text())
		}
	}
	if (c.EvaluatorFiles.Certificate == "") != (c.EvaluatorFiles.Key == "") {
		v.Wrong(gauge.Say("station.certificate-alone"))
	}
	m.Done()
}
