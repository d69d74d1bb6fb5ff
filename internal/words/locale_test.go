package words

import "testing"

// TestLocale: the variables of POSIX in their order; a language without texts is English.
func TestLocale(t *testing.T) {
	for _, c := range []struct {
		all, messages, lang string
		want                Language
	}{
		{"", "", "", English},
		{"", "", "de_DE.UTF-8", German},
		{"", "", "de", German},
		{"", "", "de@euro", German},
		{"", "", "C.UTF-8", English},
		{"", "", "POSIX", English},
		{"", "", "fr_FR.UTF-8", English},
		{"", "en_GB.UTF-8", "de_DE.UTF-8", English},
		{"de_DE", "en_GB.UTF-8", "C", German},
		{"C", "de_DE", "de_DE", English},
		{"", "", "den", English},
	} {
		env := map[string]string{"LC_ALL": c.all, "LC_MESSAGES": c.messages, "LANG": c.lang}
		if got := Locale(func(name string) string { return env[name] }); got != c.want {
			t.Errorf("%v: %s", env, got)
		}
	}
}
