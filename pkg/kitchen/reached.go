package kitchen

// Reached reports whether the recipe meets the target, as it is or after a change.
func (t *Target) Reached() bool {
	return t.Met || len(t.Tries) > 0 && t.Tries[0].Reached // what reaches it stands first
}
