package words

import "sync"

// In returns the texts of a language, out of the catalogue that the program has in it. That
// it is whole is tested.
func In(l Language) Words {
	c, err := embedded()
	if err != nil {
		panic(err)
	}
	return c.In(l)
}

var embedded = sync.OnceValues(readEmbedded)
