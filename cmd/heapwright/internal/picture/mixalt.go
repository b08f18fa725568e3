package picture

// Told describes the picture in words, for a page that shows it to people who
// may not see it.
func (m *Mix) Told() string { return m.told() }
