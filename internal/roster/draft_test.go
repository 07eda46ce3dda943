package roster_test

import (
	"reflect"
	"slices"
	"testing"
	"time"

	"github.com/google/go-cmp/cmp"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// A draft is the view of its own change: whatever is asked of it knows what was
// written, and the trip that it began with does not.
func TestADraftSeesItsOwnWrites(t *testing.T) {
	base := ready().Done()
	d := roster.Change(base)
	r := d.Record("c4", roster.Reading{Percent: 36, At: at(60), Ref: "m9", By: tomasz}, at(60))
	d.SetDive(2, roster.Dive{Site: "Anvil Ledge", Depth: gas.M(20), Minutes: 40}, ines, "swell", at(61))
	d.LockFills(ines, at(61))
	d.Remind("fill:p2", at(61))
	d.EditAnalyser("C").AirAsked = true
	c, found := d.Reading(r.ID)
	if found != r || c.Newest() != r || d.ReadingsOf(tomasz, "m9")[0] != r {
		t.Errorf("the reading %+v is found as %+v", r, found)
	}
	if a := d.Analyser("c"); a == nil || !a.AirAsked {
		t.Errorf("the analyser is found as %+v", a)
	}
	if d.Dive(2).Depth != gas.M(20) || d.FillLocked.IsZero() || !d.Reminded["fill:p2"].Equal(at(61)) {
		t.Errorf("dive 2 at %v, locked %v, reminded %v", d.Dive(2).Depth, d.FillLocked, d.Reminded)
	}
	if got := line(t, d, tomasz, at(62)).Status; got != gas.NoGo {
		t.Errorf("36 %% at 30 m: the draft's board says %v", got)
	}
	if _, there := base.Reading(r.ID); there != nil || base.Dive(2).Depth != gas.M(18) || base.Reminded != nil ||
		base.Analyser("C") != nil {
		t.Error("the trip that it began with sees it too")
	}
	was, is := base.Board(1, at(62)), d.Done().Board(1, at(62))
	if is.Of(tomasz).Status != gas.NoGo || was.Of(tomasz).Status != gas.Go {
		t.Error("the value that came of it is not as the draft, or the one before is")
	}
}

func TestNothingUnknownIsEdited(t *testing.T) {
	base := ready().Done()
	d := roster.Change(base)
	if p := d.Edit("p99"); p != nil || d.Edit("") != nil {
		t.Errorf("a person: got %v", p)
	}
	if c := d.EditCylinder("c99"); c != nil || d.EditCylinder("") != nil {
		t.Errorf("a cylinder: got %v", c)
	}
	if c, r := d.EditReading("r99"); c != nil || r != nil {
		t.Errorf("a reading: got %v, %v", c, r)
	}
	if dive := d.EditDive(3); dive != nil || d.EditDive(0) != nil {
		t.Errorf("a dive: got %v", dive)
	}
	if got := touched(base, d.Done()); got != nil {
		t.Errorf("copied for it: %v", got)
	}
}

// What is edited is the draft's own copy, once, and what the draft finds from
// then on.
func TestEditsAreOfTheDraftsOwnCopy(t *testing.T) {
	base := ready().Done()
	d := roster.Change(base)
	p := d.Edit(tomasz)
	c := d.EditCylinder("c4")
	of, r := d.EditReading(base.Person(tomasz).Cylinders[0].Readings[0].ID)
	if p == base.Person(tomasz) || c == base.Person(tomasz).Cylinders[0] ||
		r == base.Person(tomasz).Cylinders[0].Readings[0] {
		t.Fatal("what was published is given away to be written to")
	}
	if of != c || c != p.Cylinders[0] || r != c.Readings[0] || d.Person(tomasz) != p || d.Edit(tomasz) != p ||
		d.People[1] != p {
		t.Error("copied more than once, or another copy is found")
	}
	plan, course := d.EditPlan(), d.EditCourse()
	if d.EditPlan() != plan || d.EditCourse() != course || d.EditDive(1) != d.Dive(1) {
		t.Error("the plan or the course is copied more than once")
	}
	if got, want := touched(base, d.Done()), []string{"course", string(tomasz), "plan"}; cmp.Diff(want, got) != "" {
		t.Errorf("copied %v, want %v", got, want)
	}
}

// An act copies what it writes, and the person who did it, whose acts are
// counted. All else is shared.
func TestWhatIsNotTouchedIsShared(t *testing.T) {
	for name, tt := range map[string]struct {
		do   func(*roster.Draft)
		want []string
	}{
		"nothing":      {func(*roster.Draft) {}, nil},
		"a board":      {func(d *roster.Draft) { d.Board(1, at(60)) }, nil},
		"a reading":    {func(d *roster.Draft) { read(d, "c4", 32, tomasz, at(60)) }, []string{"p2"}},
		"for somebody": {func(d *roster.Draft) { read(d, "c4", 32, ines, at(60)) }, []string{"p1", "p2"}},
		"by the shop":  {func(d *roster.Draft) { read(d, "c4", 32, "", at(60)) }, []string{"p2"}},
		"a card": {func(d *roster.Draft) { d.SetCard(marit, gas.CardNone, ines, "", at(60)) },
			[]string{"p1", "p3"}},
		"a site": {func(d *roster.Draft) {
			d.SetDive(1, roster.Dive{Depth: gas.M(20), Minutes: 22}, ines, "",
				at(60))
		}, []string{"p1", "plan"}},
		"the boat check": {func(d *roster.Draft) { d.OpenBoat(1, ines, at(60)) }, []string{"p1", "plan"}},
		"a signature": {func(d *roster.Draft) { aboard(d, 1, at(60)); d.SignOff(1, ines, at(60)) },
			[]string{"course", "p1", "p2", "p3", "plan"}},
		"a lock by the shop": {func(d *roster.Draft) { d.LockFills("", at(60)) }, []string{"course"}},
		"another air point": {func(d *roster.Draft) { d.SetAirPoint("A", 20.8, gas.Weather{}, "", at(60)) },
			[]string{"plan"}},
		"a turn": {func(d *roster.Draft) {
			d.Fill("c4", at(60), "", at(60))
			d.QueueUp(tomasz, at(60))
			d.NextTurns(at(60))
		}, []string{"p2", "queue"}},
		"a reminder":   {func(d *roster.Draft) { d.Remind("fill:p2", at(60)) }, []string{"rounds"}},
		"one more":     {func(d *roster.Draft) { d.AddPerson(&roster.Person{ID: yusuf}, "", at(60)) }, []string{"p8"}},
		"somebody's":   {func(d *roster.Draft) { d.Tell(marit, roster.Told{Dive: 1, Status: gas.Go}) }, []string{"p3"}},
		"a forgetting": {func(d *roster.Draft) { d.Erase(tomasz, at(60)) }, []string{"p2"}},
	} {
		t.Run(name, func(t *testing.T) {
			base, seen := ready().Done(), new(witness)
			seen.look(t, base)
			d := roster.Change(base)
			tt.do(d)
			if got := touched(base, d.Done()); cmp.Diff(tt.want, got) != "" {
				t.Errorf("copied %v, want %v", got, tt.want)
			}
			seen.check(t, name)
		})
	}
}

// waits is who waits at the open invite of the test below.
var waits string

// atTheGate is the account of another one.
var atTheGate = roster.Address{Channel: "telegram", ID: "900"}

// Every way of changing a trip that is done when it is done once.
var once = map[string]func(*roster.Draft){
	"BackIn":        func(d *roster.Draft) { d.BackIn(yusuf, 1, ines, "warm", at(60)) },
	"Breaks":        func(d *roster.Draft) { d.SetCard(marit, gas.CardNone, marit, "", at(60)); d.Breaks(at(60)) },
	"BringBack":     func(d *roster.Draft) { d.BringBack(yusuf, ines, at(60)) },
	"CardSeen":      func(d *roster.Draft) { d.CardSeen(yusuf, ines, at(60)) },
	"CloseQuestion": func(d *roster.Draft) { d.CloseQuestion("q", true, ines, at(60)) },
	"Confirm":       func(d *roster.Draft) { d.Confirm("r11", gas.ShownDecimals, ines, at(60)) },
	"ConfirmMoved":  func(d *roster.Draft) { d.ConfirmMoved("c9", 1, ines, at(60)) },
	"Consent":       func(d *roster.Draft) { d.Consent(ines, at(60)) },
	"DenyTakeOver":  func(d *roster.Draft) { d.DenyTakeOver(ines, at(60)) },
	"EndOutside":    func(d *roster.Draft) { d.EndOutside(yusuf, 2, ines, at(60)) },
	"Erase":         func(d *roster.Draft) { d.Erase(tomasz, at(60)) },
	"HandOver":      func(d *roster.Draft) { d.HandOver(tomasz, ines, at(60)) },
	"Settled":       func(d *roster.Draft) { d.Settled(yusuf, ines, at(60)) },
	"Leave":         func(d *roster.Draft) { d.Leave(tomasz, ines, "", at(60)) },
	"GoAway":        func(d *roster.Draft) { d.GoAway(atTheGate) },
	"LetIn":         func(d *roster.Draft) { d.LetIn(waits, false, ines, at(60)) },
	"LockFills":     func(d *roster.Draft) { d.LockFills(ines, at(60)) },
	"MoveCylinder":  func(d *roster.Draft) { d.MoveCylinder("c4", 2, ines, at(60)) },
	"MoveReading":   func(d *roster.Draft) { d.MoveReading("r11", "c5", ines, at(60)) },
	"MustSpeak":     func(d *roster.Draft) { d.MustSpeak(tomasz, roster.Speak{At: at(60), Was: "18/45"}) },
	"Quote":         func(d *roster.Draft) { d.Quote("q", "I took 18") },
	"NextTurns":     func(d *roster.Draft) { d.Undo("r11", ines, at(60)); d.QueueUp(tomasz, at(60)); d.NextTurns(at(60)) },
	"PassTurn": func(d *roster.Draft) {
		d.Undo("r11", ines, at(60))
		d.QueueUp(tomasz, at(60))
		d.PassTurn(tomasz, at(60))
	},
	"PutOn":             func(d *roster.Draft) { d.PutOn(ines, at(60)) },
	"QueueUp":           func(d *roster.Draft) { d.Undo("r11", ines, at(60)); d.QueueUp(tomasz, at(60)) },
	"Refuse":            func(d *roster.Draft) { d.Refuse(waits, ines, at(60)) },
	"Remind":            func(d *roster.Draft) { d.Remind("evening", at(60)) },
	"RemindAgain":       func(d *roster.Draft) { d.RemindAgain(func(string) bool { return true }) },
	"Rename":            func(d *roster.Draft) { d.Rename("Sunday two-tank", ines, at(60)) },
	"Retire":            func(d *roster.Draft) { d.Retire("c4", ines, "valve", at(60)) },
	"SetAir":            func(d *roster.Draft) { d.SetAir(sultry, ines, at(60)) },
	"SetAnalysers":      func(d *roster.Draft) { d.SetAnalysers([]string{"own"}, "", at(60)) },
	"SetZone":           func(d *roster.Draft) { d.SetZone("Europe/Lisbon", "", at(60)) },
	"SetAnalyser":       func(d *roster.Draft) { d.SetAnalyser("r11", "own", ines, at(60)) },
	"SetAsked":          func(d *roster.Draft) { d.SetAsked("c4", 30, ines, at(60)) },
	"SetCard":           func(d *roster.Draft) { d.SetCard(tomasz, gas.CardNone, ines, "", at(60)) },
	"CylindersAreReady": func(d *roster.Draft) { d.CylindersAreReady(at(60)) },
	"SayLabel":          func(d *roster.Draft) { d.SayLabel(atTheGate, "Y7") },
	"SetCylindersReady": func(d *roster.Draft) { d.SetCylindersReady(departs.Add(-time.Hour), at(60)) },
	"SetDeparture":      func(d *roster.Draft) { d.SetDeparture(departs.Add(time.Hour), ines, at(60)) },
	"SetDepthLimit":     func(d *roster.Draft) { d.SetDepthLimit(tomasz, gas.M(40), ines, "", at(60)) },
	"SetDive": func(d *roster.Draft) {
		d.SetDive(1, roster.Dive{Site: "Anvil Ledge", Depth: gas.M(20), Minutes: 22}, ines, "", at(60))
	},
	"SetDivedBefore":    func(d *roster.Draft) { d.SetDivedBefore(tomasz, "no", at(60)) },
	"SetDives":          func(d *roster.Draft) { d.SetDives(slices.Repeat(d.Dives[:1], 3), ines, "", at(60)) },
	"SetFirstDiveAfter": func(d *roster.Draft) { d.SetFirstDiveAfter(30, ines, at(60)) },
	"SetLabel":          func(d *roster.Draft) { d.SetLabel("c4", "17", ines, at(60)) },
	"SetNotDived":       func(d *roster.Draft) { d.SetNotDived(1, ines, at(60)) },
	"SetOutside":        func(d *roster.Draft) { d.SetOutside(tomasz, 0, ines, "rebreather", at(60)) },
	"SetPolicy":         func(d *roster.Draft) { p := d.Policy; p.PPO2 = 1.3; d.SetPolicy(p, "", at(60)) },
	"SetRole":           func(d *roster.Draft) { d.SetRole(tomasz, false, true, "", at(60)) },
	"SetStart":          func(d *roster.Draft) { d.SetStart(departs.Add(time.Hour), 30, ines, at(60)) },
	"SetTeam":           func(d *roster.Draft) { d.SetTeam(tomasz, "2", ines, at(60)) },
	"ShutGate":          func(d *roster.Draft) { d.ShutGate(ines, at(60)) },
	"SitOut":            func(d *roster.Draft) { d.SitOut(tomasz, 0, ines, "gear", at(60)) },
	"Swap":              func(d *roster.Draft) { d.Swap("c4", "", ines, "valve", at(60)) },
	"TakeBackDived":     func(d *roster.Draft) { d.TakeBackDived(2, ines, at(60)) },
	"TakeOver":          func(d *roster.Draft) { d.TakeOver(tomasz, marit, at(60)) },
	"Tell":              func(d *roster.Draft) { d.Tell(tomasz, roster.Told{Dive: 1, Status: gas.Go}) },
	"Undo":              func(d *roster.Draft) { d.Undo("r11", ines, at(60)) },
	"Withdraw":          func(d *roster.Draft) { d.Withdraw(1, ines, "late", at(60)) },
}

// Ways of changing a trip that are one more each time, or hand out what the
// caller is going to write to; and two that only look. CallOff is done once: see
// TestCallOff. SetUp is of a dive that was dived: see TestTheIntervalRunsByTheClock.
var always = []string{"AddCylinder", "AddPerson", "AddWalkIn", "Ask", "AskTakeOver", "Attend", "CallOff", "DropDive",
	"Knock", "OpenGate", "CloseInvite", "Correct", "Fill", "Join", "NameWitness", "Note", "OpenBoat",
	"AirPointOf",
	"Record", "Replan", "Revoke", "SetAirPoint", "SetAsideSeries", "SetCO", "SetDived", "SetLimit", "SetTeamLimit",
	"SetUnits", "SetUp", "SignOff",
	"Edit", "EditAnalyser", "EditCourse", "EditCylinder", "EditDive", "EditPlan", "EditReading", "Refusals"}

// Setting an equal value touches nothing.
func TestSettingAnEqualValueTouchesNothing(t *testing.T) {
	d := ready()
	d.AddPerson(&roster.Person{ID: yusuf, Name: "Yusuf", Cylinders: []*roster.Cylinder{{ID: "c9", Asked: 32, Dive: 1}}},
		"", at(30))
	d.SitOut(yusuf, 1, ines, "gear", at(31))
	d.SetOutside(yusuf, 2, ines, "rebreather", at(31))
	d.MustSpeak(yusuf, roster.Speak{At: at(31), Was: "trimix"})
	d.Leave(yusuf, yusuf, "", at(31))
	d.MoveCylinder("c9", 2, "", at(31))
	d.EditCylinder("c9").Questions = []roster.Question{{ID: "q"}}
	d.SetNotDived(2, ines, at(31))
	d.Remind("morning", at(31))
	d.OpenGate(ines, at(31))
	var err error
	if _, err = d.Knock(roster.Newcomer{Name: "Rui", From: "b", Address: atTheGate}, at(31)); err != nil {
		t.Fatal(err)
	}
	if waits, err = d.Knock(roster.Newcomer{Name: "Aoife", From: "a"}, at(31)); err != nil {
		t.Fatal(err)
	}
	d.AskTakeOver(marit, at(31))
	looser := d.Policy
	looser.BoatCheck, looser.FreshFor, d.EditPlan().Policy.FreshFor = gas.BoatCheckUnattended, 24, 12
	d.SetPolicy(looser, "", at(32))
	signOff(t, d, 1, at(40))
	d.CallOff("", "wind", at(41))
	base := remembered(d.Done()).Done()
	for name, do := range once {
		t.Run(name, func(t *testing.T) {
			first := roster.Change(base)
			do(first)
			was := first.Done()
			if touched(base, was) == nil {
				t.Fatal("nothing happens the first time either")
			}
			second := roster.Change(was)
			do(second)
			if got := touched(was, second.Done()); got != nil {
				t.Errorf("the second time it copies %v", got)
			}
		})
	}
}

// A way of changing a trip that is still to come is decided about above.
func TestEveryWayOfChangingIsLookedAt(t *testing.T) {
	trip, draft := reflect.TypeFor[*roster.Trip](), reflect.TypeFor[*roster.Draft]()
	for i := range draft.NumMethod() {
		name := draft.Method(i).Name
		_, ofTrip := trip.MethodByName(name)
		_, isOnce := once[name]
		if isMore := slices.Contains(always, name); !ofTrip && name != "Done" && isOnce == isMore {
			t.Errorf("%s: is done once: %v, is always one more: %v", name, isOnce, isMore)
		}
	}
}
