package gas

// OnLabel is the MOD to write on a cylinder that reads o2, of which mod is the
// whole MOD at the working ppO2. Air (below 22.0) is labelled AIR with its
// percentage and no depth, unless its MOD is shallower than the policy's
// deepest: there is nothing to allow. Zero is no depth on the label.
func (p Policy) OnLabel(o2 Percent, mod Depth) Depth {
	if o2 < EnrichedFrom-exactly && !p.Deepest.NamedIn(mod.Unit).DeeperThan(mod) {
		return Depth{Unit: mod.Unit}
	}
	return mod
}
