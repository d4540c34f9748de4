package source

// Papers are the documents of a set of data files, by id, as their loader reads them.
type Papers map[string]*Document

// Add files a paper of the handbook's tier under its id, with its mark as data writes
// it. What is wrong with it goes to fail.
func (p Papers) Add(d Document, mark string, fail func(format string, args ...any)) {
	m, ok := ParseMark(mark)
	if d.ID == "" || d.Title == "" || d.Edition == "" || !ok {
		fail("document %q: id, title, edition and a known mark are required", d.ID)
	}
	if p[d.ID] != nil {
		fail("document %q stands twice", d.ID)
	}
	d.Mark, d.Tier = m, Handbook
	p[d.ID] = &d
}

// Ref reads a citation: a paper by its id, the place in it, and a mark as data writes
// it. A value cannot be marked as read in a paper that nobody read. What is wrong with
// it goes to fail, with where it stands.
func (p Papers) Ref(where any, doc, section, mark string, fail func(format string, args ...any)) Ref {
	d := p[doc]
	if d == nil {
		fail("%s: source %q is not a document", where, doc)
		return Ref{}
	}
	m, ok := ParseMark(mark)
	if !ok {
		fail("%s: mark %q is not known", where, mark)
	}
	if m == Read && d.Mark == Memory {
		fail("%s: marked read, but nobody read %s", where, doc)
	}
	return Ref{Document: d, Section: section, Mark: m, Tier: d.Tier}
}
