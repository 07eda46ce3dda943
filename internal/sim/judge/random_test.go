package judge

import (
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"testing"
	"time"

	"gasmuster/internal/gas"
	"gasmuster/internal/roster"
)

// charter is a random day: anybody says anything, allowed or not.
type charter struct {
	*rand.Rand
	now   time.Time
	count int
}

var (
	everyone  = []roster.PersonID{tomasz, ines, noor, ana, Shop}
	cylinders = []roster.CylinderID{c17, c18, c22, "second"}
	labels    = []string{"", "17", "18", "22", "30", "31"}
	values    = []float64{20.9, 22, 27.5, 31.4, 31.9, 32, 32.1, 32.6, 33.2, 34.2, 36, 40.5}
	kinds     = []Kind{
		SaidReading, SaidReading, SaidReading, SaidReading, SaidCorrection, SaidUndo, SaidWitness, SaidQuestion,
		SaidAnswer,
		SaidShown, SaidAirPoint, SaidWeather, SaidCarbonMonoxide, SaidSeriesAside, SaidFill, SaidAnother, SaidLabel,
		SaidRequest,
		SaidRetired, SaidAdded, SaidMoved, SaidNotUsed, SaidReplanned, SaidBoatCheck, SaidBoatAnswer, SaidCard,
		SaidQualification, SaidLimit,
		SaidTeam, SaidOut, SaidBack, SaidOutside, SaidOutsideBack, SaidHelium, SaidHeliumSlip, SaidLeft, SaidRemoved,
		SaidBroughtBack, SaidRenamed, SaidHandOver, SaidTakeOver, SaidLast24, SaidPlan, SaidStart, SaidPolicy,
		SaidConsent,
		SaidDived, SaidDivedBack, SaidNotDived, SaidDivedMyself, SaidSign,
	}
)

func pick[T any](c *charter, list []T) T { return list[c.IntN(len(list))] }

func (c *charter) id() roster.ReadingID { return roster.ReadingID(fmt.Sprint("r", c.IntN(c.count+1))) }

// next is what is said next, up to ten minutes later.
func (c *charter) next() Said {
	c.now = c.now.Add(time.Duration(c.IntN(600)) * time.Second)
	c.count++
	policy := DefaultPolicy(gas.Metres)
	policy.PPO2, policy.GF = pick(c, []float64{1.2, 1.4}), pick(c, []float64{70, 85, 95})
	return Said{
		At: c.now, By: pick(c, everyone), Kind: pick(c, kinds), Person: pick(c, everyone[:4]), Witness: pick(c,
			everyone[:4]),
		Cylinder: pick(c, cylinders), Cylinders: []roster.CylinderID{pick(c, cylinders)},
		Reading: roster.ReadingID(fmt.Sprint("r", c.count)),
		Of:      c.id(), Dive: c.IntN(3), Value: pick(c, values), Analyser: pick(c, []string{"", "A", "B"}),
		AirPoint: pick(c, []float64{0, 20.3, 20.9, 20.9, 21.3}), CO: float64(c.IntN(8)), HasCO: c.IntN(10) == 0,
		Label: pick(c, labels),
		New: Cylinder{ID: roster.CylinderID(fmt.Sprint("new", c.count)), Label: pick(c, labels), Asked: 32,
			Dive: 1 + c.IntN(2)},
		Asked: pick(c, []float64{21, 32, 36}), Boat: pick(c, []Boat{BoatKept, BoatKept, BoatChanged}),
		Card: pick(c, []Card{CardSeen, CardUnseen, CardNone}), Depth: gas.M(pick(c, []float64{18, 30, 40})),
		Limit: Limit{pick(c, []float64{0, 20, 28}), pick(c, []float64{0, 15})}, Team: pick(c, []string{"", "1", "2"}),
		Yes: c.IntN(3) == 0,
		Plan: Dive{Depth: pick(c, []float64{18, 28, 30, 33}), Bottom: pick(c, []float64{0, 34, 50}),
			Minutes: pick(c, []float64{15, 22, 40}), Interval: pick(c, []float64{45, 60, 90})},
		Departs: clock("08:30").Add(time.Duration(c.IntN(90)) * time.Minute), Policy: policy,
		Dived: Dived{pick(c, []float64{0, 20, 31}), pick(c, []float64{0, 20, 30})}, Signature: fmt.Sprint("s", c.count),
	}
}

// sensible makes half of what is said something that the right person says to get somebody cleared.
func (c *charter) sensible(s Said) Said {
	owner := map[roster.CylinderID]roster.PersonID{c17: tomasz, c18: ines, c22: ana, "second": tomasz}
	switch c.IntN(14) {
	case 0, 1, 2:
		s.Kind, s.By, s.Value, s.AirPoint = SaidReading, owner[s.Cylinder], pick(c, []float64{31.9, 32.1, 32.2}), 0
	case 3:
		s.Kind, s.By, s.Value, s.Analyser, s.AirPoint = SaidReading, noor, 32.1, "A", 20.9
	case 4:
		s.Kind, s.By, s.Boat = SaidBoatAnswer, owner[s.Cylinder], BoatKept
	case 5:
		s.Kind, s.By, s.Card = SaidCard, noor, CardSeen
	case 6:
		s.Kind, s.By = pick(c, []Kind{SaidHeliumSlip, SaidBroughtBack, SaidBack, SaidOutsideBack, SaidConsent}), ines
	case 7:
		s.Kind, s.By, s.Dive = SaidBack, ines, 0
	case 8:
		s.Kind, s.By = pick(c, []Kind{SaidReplanned, SaidNotUsed, SaidMoved}), ines
	case 9:
		s.Kind, s.By, s.Limit = SaidLimit, ines, Limit{}
	case 10:
		s.Kind, s.By, s.Plan.Depth, s.Plan.Minutes = SaidPlan, ines, 28, 20
	case 11:
		s.Kind, s.By = pick(c, []Kind{SaidWithdrawn, SaidShown}), owner[s.Cylinder]
	}
	return s
}

// newCharter has everybody read in half of the days, so that there is something to lose and to win back.
func newCharter(seed uint64) (*charter, *Day) {
	b := booked()
	twoDives(32)(&b)
	b.People[0].Team, b.People[1].Team = "1", "1"
	d := Open(b)
	c := &charter{Rand: rand.New(rand.NewPCG(seed, 1)), now: clock("07:00")}
	if c.IntN(2) == 0 {
		d.Hear(reads("06:50", tomasz, c17, "b1", 32.1))
		d.Hear(reads("06:51", ines, c18, "b2", 32.2))
		d.Hear(reads("06:52", ana, c22, "b3", 31.9))
	}
	return c, d
}

func clearances(v Verdicts) []DiverVerdict {
	var all []DiverVerdict
	for _, dive := range v.Dives {
		all = append(all, dive.Divers...)
	}
	return all
}

// "What may improve a clearance. Only these. Nothing else by anybody: no time passing." The judge's rules must
// follow that list by themselves.
func TestNothingElseImproves(t *testing.T) {
	days := 150
	if n, err := strconv.Atoi(os.Getenv("JUDGE_DAYS")); err == nil {
		days = n
	}
	greener := 0
	for seed := range uint64(days) {
		c, d := newCharter(seed)
		was := clearances(d.At(c.now))
		for range 60 {
			s := c.next()
			if c.IntN(2) == 0 {
				s = c.sensible(s)
			}
			waited := clearances(d.At(c.now))
			for i := range was {
				if Greener(was[i], waited[i]) {
					t.Fatalf("seed %d, entry %d: time made %s greener: %v -> %v", seed, c.count, was[i].Person, was[i].Status,
						waited[i].Status)
				}
			}
			may := map[roster.PersonID]bool{}
			for _, p := range everyone {
				may[p] = d.MayImprove(p, s)
			}
			d.Hear(s)
			is := clearances(d.At(c.now))
			if len(is) == len(waited) {
				greener += checkGreener(t, seed, c, s, waited, is, may)
			}
			was = is
		}
	}
	if greener < days {
		t.Errorf("only %d clearances became greener in %d days: too few to tell anything", greener, days)
	}
}

func checkGreener(t *testing.T, seed uint64, c *charter, s Said, was, is []DiverVerdict,
	may map[roster.PersonID]bool) (greener int) {
	t.Helper()
	for i := range was {
		if was[i].Person != is[i].Person || !Greener(was[i], is[i]) {
			continue
		}
		greener++
		if !may[was[i].Person] {
			t.Errorf("seed %d, entry %d: %s by %s made %s greener: %v -> %v\nwas %v\nis  %v\n%+v", seed, c.count, s.Kind,
				s.By, was[i].Person,
				was[i].Status, is[i].Status, was[i].Rules, is[i].Rules, s)
		}
	}
	return greener
}

// Nobody who is no-go or not cleared stands under a standing signature of a dive not dived.
func TestStandingSignaturesHold(t *testing.T) {
	for seed := range uint64(200) {
		c, d := newCharter(seed)
		for range 60 {
			d.Hear(c.sensible(c.next()))
			v := d.At(c.now)
			for _, s := range v.Signatures {
				if b := v.Dives[s.Dive-1]; s.State == Standing && !b.Dived && b.Counts.NoGo > 0 {
					t.Fatalf("seed %d, entry %d: a no-go stands under a signature: %+v", seed, c.count, b.Counts)
				}
			}
		}
	}
}

// BenchmarkJudge judges a day of 8 divers, two dives and 150 things said, from the start.
func BenchmarkJudge(b *testing.B) {
	trip := booked()
	twoDives(32)(&trip)
	var places []roster.CylinderID
	for i := range 5 {
		id := roster.PersonID(fmt.Sprint("p", i))
		place := roster.CylinderID(fmt.Sprint("x", i))
		trip.People = append(trip.People, Person{ID: id, Diver: true, Card: CardSeen,
			Cylinders: []Cylinder{{ID: place, Label: fmt.Sprint("x", i), Asked: 32, Dive: 1}, {ID: place + "b",
				Label: fmt.Sprint("y", i), Asked: 32, Dive: 2}}})
		places = append(places, place)
	}
	c := &charter{Rand: rand.New(rand.NewPCG(1, 1)), now: clock("07:00")}
	var said []Said
	for range 150 {
		s := c.next()
		if c.IntN(2) == 0 {
			s.Cylinder = pick(c, places)
		}
		said = append(said, s)
	}
	d := Open(trip)
	for _, s := range said {
		d.Hear(s)
	}
	b.Run("one look", func(b *testing.B) {
		for b.Loop() {
			d.At(c.now)
		}
	})
	b.Run("from the start", func(b *testing.B) {
		for b.Loop() {
			Judge(trip, said, c.now)
		}
	})
}
