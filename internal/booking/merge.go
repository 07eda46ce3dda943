package booking

// merge applies a JSON merge patch to a document: RFC 7386, section 2. Objects
// are merged name by name, null removes a name, everything else replaces.
func merge(target, patch any) any {
	p, ok := patch.(map[string]any)
	if !ok {
		return patch
	}
	t, ok := target.(map[string]any)
	if !ok {
		t = map[string]any{}
	}
	merged := make(map[string]any, len(t)+len(p))
	for name, v := range t {
		merged[name] = v
	}
	for name, v := range p {
		if v == nil {
			delete(merged, name)
			continue
		}
		merged[name] = merge(merged[name], v)
	}
	return merged
}
