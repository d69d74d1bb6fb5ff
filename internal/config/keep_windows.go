package config

// mayWrite is not told by this system before one tries.
func mayWrite(string) error { return nil }
