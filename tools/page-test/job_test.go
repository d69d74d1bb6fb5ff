//go:build page

package pagetest

// acknowledge says that the cautions were read.
func (s *screen) acknowledge() {
	s.Helper()
	s.touch("#cautions button")
	s.until(`!document.querySelector("#cautions button")`)
}
