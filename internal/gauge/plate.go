package gauge

// Plate is what stands on an instrument besides its id in the shop; empty: not stated.
type Plate struct {
	Serial string `json:"serial_number,omitempty"`
	Maker  string `json:"maker,omitempty"`
	Model  string `json:"model,omitempty"`
}

// Shop is who works at a station, as its papers name them; empty: not stated.
type Shop struct {
	Name    string
	Email   string
	Street  string
	Post    string // code of the place
	City    string
	Country string // two letters of ISO 3166-1
}
