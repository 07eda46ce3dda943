package rdb

// Gathered is how many commits wait for the next pipeline.
func (s *Store) Gathered() int {
	n := 0
	for _, g := range s.commits {
		g.mu.Lock()
		n += len(g.waiting)
		g.mu.Unlock()
	}
	return n
}
