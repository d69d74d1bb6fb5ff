package app

import (
	"cmp"

	"github.com/spf13/pflag"
)

// ByFlag adds the flag that says who does something, which does says.
func ByFlag(flags *pflag.FlagSet, to *string, does string) {
	flags.StringVar(to, "by", "", does+" (default: $GAUGECTL_BY, else your login name)")
}

// By is who does something: who is named, else who the environment says, else who is
// logged in. With a token or a certificate it is whom the daemon knows by that.
func (a *App) By(named string) string {
	if a.files().Given() {
		return cmp.Or(named, a.Getenv("GAUGECTL_BY"))
	}
	return cmp.Or(named, a.Getenv("GAUGECTL_BY"), a.Getenv("LOGNAME"), a.Getenv("USER"))
}
