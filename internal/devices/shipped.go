package devices

import (
	"embed"
	"fmt"
	"maps"
	"path"
	"slices"

	"gauged/internal/gauge"
)

//go:embed layouts/*.yaml
var shipped embed.FS

// Layouts are layouts by name.
type Layouts map[string]*Layout

// Find returns the layout of that name; nil when its file has problems, which are
// reported there.
func (ls Layouts) Find(name string) (*Layout, error) {
	if l, found := ls[name]; found {
		return l, nil
	}
	return nil, gauge.NotFound("station.layout-missing", gauge.Text("layout", name), gauge.Others("others", name, slices.Collect(maps.Keys(ls))))
}

// Broken notes that there is a layout of that name whose file has problems.
func (ls Layouts) Broken(name string) {
	if _, there := ls[name]; !there && name != "" {
		ls[name] = nil
	}
}

// Add puts a layout in; a second one of the same name is an error.
func (ls Layouts) Add(l *Layout) error {
	if ls[l.Name] != nil {
		return gauge.WrongInput("station.layout-twice", gauge.Text("layout", l.Name))
	}
	ls[l.Name] = l
	return nil
}

// ShippedLayouts returns the layouts that come with the program: generic
// shapes that a shop can use or copy.
func ShippedLayouts() (Layouts, error) {
	files, err := shipped.ReadDir("layouts")
	if err != nil {
		return nil, fmt.Errorf("list the shipped layouts: %w", err)
	}
	layouts := Layouts{}
	for _, f := range files {
		content, err := shipped.ReadFile(path.Join("layouts", f.Name()))
		if err != nil {
			return nil, fmt.Errorf("read the shipped layout %s: %w", f.Name(), err)
		}
		l, err := ParseLayout(f.Name(), content)
		if err != nil {
			return nil, err
		}
		if err := layouts.Add(l); err != nil {
			return nil, err
		}
	}
	return layouts, nil
}
