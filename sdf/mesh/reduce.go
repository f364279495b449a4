package mesh

func (b *builder) reduce(s *soup, m *mender) error { return nil }
