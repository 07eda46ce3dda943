package gas

// navyRow is one row of the US Navy no-stop table: depth in feet of sea water,
// minutes, 0 for unlimited.
type navyRow struct{ depth, minutes float64 }

// navyTable is the no-decompression table for air. Source: US Navy Diving
// Manual, Revision 7 (2016), Table 9-7; see testdata/gas/navy_no_stop.csv.
var navyTable = []navyRow{
	{10, 0}, {15, 0}, {20, 0}, {25, 1102}, {30, 371}, {35, 232}, {40, 163}, {45, 125}, {50, 92}, {55, 74},
	{60, 63}, {70, 48}, {80, 39}, {90, 33}, {100, 25}, {110, 20}, {120, 15}, {130, 12}, {140, 10}, {150, 8},
	{160, 7}, {170, 6}, {180, 6}, {190, 5},
}

// NavyNoStop is the no-stop time of the US Navy air table at the equivalent
// air depth, by the next greater depth of the table, in whole minutes. None at
// altitude, which the table is not for, and deeper than it reaches. It knows
// nothing of dives before.
func (p Place) NavyNoStop(o2 Percent, d Depth) NoStop {
	if p.Altitude != 0 || !p.Valid() || !o2.Known() || !d.valid() {
		return NoStop{State: NoStopNone}
	}
	ead := p.EAD(o2, d).convert(Feet).Value
	for _, row := range navyTable {
		switch {
		case over(ead, row.depth):
		case row.minutes == 0:
			return NoStop{State: NoStopUnlimited}
		default:
			return NoStop{State: NoStopLimited, Minutes: row.minutes}
		}
	}
	return NoStop{State: NoStopNone}
}
