package judge

import "testing"

// The planned start is 09:00.
func TestWhen(t *testing.T) {
	kept := func(at string) Said { return says(at, tomasz, SaidBoatAnswer, cylinder(c17), boat(BoatKept)) }
	answer := func(at string, b Boat) Said { return says(at, tomasz, SaidBoatAnswer, cylinder(c17), boat(b)) }
	evening := []Said{reads("-1 20:00", tomasz, c17, "r1", 32.1)}
	at := func(taken string) []Said { return []Said{reads(taken, tomasz, c17, "r1", 32.1)} }
	all := func(b *Booked) { b.Policy.BoatCheck = BoatCheckAll }
	stale := want{status: StatusNotCleared, rules: found(RuleStale, NotCleared), needs: []Need{NeedReading}}
	ask := want{status: StatusNotCleared, rules: found(RuleStale, NotCleared), needs: []Need{NeedBoatAnswer}}
	fresh := only(StatusGo, RuleStale, Pass)
	tell(t, []story{
		{name: "24 hours at the start", said: at("-1 09:00"), want: fresh},
		{name: "a second more", said: at("-1 08:59:59"), want: stale},
		{name: "and at now when that is later", said: at("-1 09:00"), at: "09:01", want: stale},
		{name: "fresh_for_hours 1", booked: func(b *Booked) { b.Policy.FreshFor = 1 },
			said: at("07:59"), at: "08:00",
			want: stale},
		{name: "dock reading, check not opened", said: evening, want: fresh},
		{name: "30 minutes before the check", said: append(at("08:00"), opened("08:30")), at: "08:31", want: fresh},
		{name: "31 minutes before", said: append(at("07:59"), opened("08:30")), at: "08:31", want: ask},
		{name: "kept", said: append(at("07:00"), opened("08:30"), kept("08:31")), at: "08:32", want: fresh},
		{name: "kept, answered before the check",
			said: append(at("07:00"), kept("08:29"), opened("08:30")), at: "08:32",
			want: ask},
		{name: "kept, reading four hours old at the start",
			said: append(at("05:00"), opened("08:30"), kept("08:31")), at: "08:32",
			want: fresh},
		{name: "kept, reading older than that",
			said: append(at("04:59"), opened("08:30"), kept("08:31")), at: "08:32",
			want: stale},
		{name: "policy all: the answer does not help", booked: all,
			said: append(at("07:00"), opened("08:30"), kept("08:31")), at: "08:32",
			want: stale},
		{name: "policy all: analysed again", booked: all,
			said: append(at("08:31"), opened("08:30")), at: "08:32",
			want: fresh},
		{name: "changed voids", said: append(at("08:31"), opened("08:30"), answer("08:32", BoatChanged)), at: "08:33",
			want: want{status: StatusNotCleared, needs: []Need{NeedReading}}},
		{name: "and words don't take that back", said: append(at("08:31"), opened("08:30"), answer("08:32",
			BoatNotSure), kept("08:33")), at: "08:34",
			want: want{status: StatusNotCleared, needs: []Need{NeedReading}}},
		{name: "a reading after it does",
			said: append(at("08:31"), opened("08:30"), answer("08:32", BoatChanged), reads("08:40", tomasz, c17, "r2",
				32.2)), at: "08:41",
			want: fresh},
		{name: "opened again: what came before is old",
			said: append(at("08:31"), opened("08:30"), opened("08:45")), at: "08:46",
			want: ask},
		{name: "opened again: kept",
			said: append(at("08:31"), opened("08:30"), opened("08:45"), kept("08:46")), at: "08:47",
			want: fresh},
		{name: "taken before a fill that was stored first", said: []Said{says("07:30", Shop, SaidFill, cylinder(c17)),
			reads("07:31", tomasz, c17, "r1", 32.1, takenAt("07:29"))},
			want: want{status: StatusNotCleared, needs: []Need{NeedReading}}},
		{name: "taken after it",
			said: []Said{says("07:30", Shop, SaidFill, cylinder(c17)), reads("07:31", tomasz, c17, "r1", 32.1,
				takenAt("07:30"))},
			want: fresh},
		{name: "from paper: the time it was taken",
			said: []Said{reads("08:50", noor, c17, "r1", 32.1, takenAt("04:59")), opened("08:30")}, at: "08:51",
			want: stale},
	})
}

func TestBetweenDives(t *testing.T) {
	same := func(b *Booked) {
		twoDives(32)(b)
		b.People[1].Cylinders[1].Label = "17"
	}
	before := []Said{reads("07:30", tomasz, c17, "r1", 32.1)}
	done := says("09:40", ines, SaidDived, diveNo(1))
	tell(t, []story{
		{name: "one reading for both dives", booked: same, dive: 2,
			said: before,
			want: only(StatusGo, RuleNoReading, Pass)},
		{name: "not once the first is dived", booked: same, dive: 2,
			said: append(before, done), at: "09:41",
			want: only(StatusNotCleared, RuleNoReading, NotCleared)},
		{name: "one after it", booked: same, dive: 2,
			said: append(before, done, reads("09:50", tomasz, "second", "r2", 32.1)), at: "09:51",
			want: only(StatusGo, RuleNoReading, Pass)},
		{name: "one after it, before the leader said so", booked: same, dive: 2, said: append(before, reads("09:50",
			tomasz, "second", "r2", 32.1), says("10:00", ines, SaidDived, diveNo(1))),
			at: "10:01", want: only(StatusGo, RuleNoReading, Pass)},
		{name: "a number put right after it is of before it", booked: same, dive: 2, said: append(before, done,
			corrects("09:45", tomasz, "r1", "r2", 32.2)), at: "09:46",
			want: only(StatusNotCleared, RuleNoReading, NotCleared)},
		{name: "one that stood there when it began, and was swapped before the answer", booked: same, dive: 2,
			said: append(before, says("09:20", noor, SaidAnother, cylinder(c17), label("44")), done), at: "09:41",
			want: only(StatusNotCleared, RuleNoReading, NotCleared)},
		{name: "one that was swapped before it began", booked: same, dive: 2,
			said: append(before, says("08:20", noor, SaidAnother, cylinder(c17), label("44")), done), at: "09:41",
			want: only(StatusGo, RuleNoReading, Pass)},
		{name: "another cylinder on a dive that was dived is not put there", booked: same, dive: 2,
			said: append(before, done, says("09:42", noor, SaidAnother, cylinder(c17), label("44"))), at: "09:43",
			want: only(StatusNotCleared, RuleNoReading, NotCleared)},
		{name: "taken back: the plan again", booked: same, dive: 2,
			said: append(before, done, says("09:45", ines, SaidDivedBack, diveNo(1))), at: "09:46",
			want: only(StatusGo, RuleNoReading, Pass)},
	})
}
