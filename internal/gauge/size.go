package gauge

// ownSize is about what a fact takes in memory besides its texts and bytes.
const ownSize = 300

// Size is about how many bytes a fact takes in memory: what lists and pages of facts are
// bounded by.
func (f Fact) Size() int {
	n := ownSize
	switch {
	case f.Reading != nil:
		r := f.Reading
		n += len(r.Gauge) + len(r.Shown) + len(r.Raw) + len(r.Source) + len(r.EnteredBy)
	case f.Reject != nil:
		r := f.Reject
		n += len(r.Gauge) + len(r.Raw) + len(r.Source) + r.Detail.size()
	case f.State != nil:
		n += len(f.State.Gauge) + f.State.Reason.size()
	case f.File != nil:
		n += len(f.File.Hash) + len(f.File.Name) + len(f.File.Content)
	case f.Job != nil:
		n += len(f.Job.By) + len(f.Job.Data)
	case f.Gauge != nil:
		n += len(f.Gauge.Gauge) + len(f.Gauge.By) + len(f.Gauge.Data)
	case f.Release != nil:
		n += len(f.Release.Hash) + len(f.Release.Name) + len(f.Release.By) + len(f.Release.Reason)
	case f.Access != nil:
		n += len(f.Access.By) + len(f.Access.Subject) + len(f.Access.Data)
	}
	return n
}

// ofArg is about what an argument of a message takes besides its texts.
const ofArg = 250

func (m Message) size() int { return len(m.Code) + sizeOf(m.Args) }

func sizeOf(args []Arg) (n int) {
	for _, a := range args {
		n += ofArg + len(a.Text) + len(a.Digits) + sizeOf(a.List)
		if a.Message != nil {
			n += a.Message.size()
		}
	}
	return n
}
