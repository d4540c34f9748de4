package patterns

import "example.com/ozeq/pkg/rules"

// File is the form patterns take on disk, in the YAML sources and in the
// compiled patterns.json alike. Everything is text, as printed.
type File struct {
	Documents []rules.FileDocument `json:"documents,omitempty"`
	Options   []rules.FileOption   `json:"options,omitempty"`
	Patterns  []FilePattern        `json:"patterns,omitempty"`
	Rules     []FileRule           `json:"rules,omitempty"`
	Tables    []FileTable          `json:"tables,omitempty"`
}

// FilePattern names the meals and age/grade groups of a program; each pair of
// them is a pattern.
type FilePattern struct {
	Program string      `json:"program"`
	Meals   []string    `json:"meals"`
	Groups  []FileGroup `json:"groups"`
}

// FileGroup is an age/grade group in a [FilePattern].
type FileGroup struct {
	ID    string `json:"id"`
	Title string `json:"title"`
	Ages  string `json:"ages,omitempty"`
	Note  string `json:"note,omitempty"`
}

// FileRule declares what values are of.
type FileRule struct {
	ID    string   `json:"id"`
	Title string   `json:"title"`
	Kind  string   `json:"kind"`
	Unit  string   `json:"unit,omitempty"`
	Words []string `json:"words,omitempty"` // of kinds word and set
}

// FileTable is values that share a life, a source and the patterns they are
// for, as a printed table does.
type FileTable struct {
	Programs []string `json:"programs"`
	Meals    []string `json:"meals,omitempty"`  // left out: every meal of the programs
	Groups   []string `json:"groups,omitempty"` // of rows with one value; left out: every group
	FileLife `yaml:",inline"`
	Rows     []FileRow `json:"rows"`
}

// FileLife is when values hold and where they stand. A row may say its own.
type FileLife struct {
	Span    string            `json:"span,omitempty"`
	From    string            `json:"from,omitempty"`
	To      string            `json:"to,omitempty"`
	Earlier string            `json:"earlier,omitempty"` // unknown: held before, first day not known
	Start   string            `json:"start,omitempty"`   // mark of the first day, where it is not that of the value
	When    map[string]string `json:"when,omitempty"`
	Source  string            `json:"source,omitempty"`
	Section string            `json:"section,omitempty"`
	Mark    string            `json:"mark,omitempty"`
	Note    string            `json:"note,omitempty"`
}

// FileRow is a row of a [FileTable]: one value for all its groups, or an amount
// for each.
type FileRow struct {
	Rule     string            `json:"rule"`
	Value    string            `json:"value,omitempty"`
	Amounts  map[string]string `json:"amounts,omitempty"`
	Unit     string            `json:"unit,omitempty"` // where it is not the rule's
	Groups   []string          `json:"groups,omitempty"`
	FileLife `yaml:",inline"`
}
