package asjson

import (
	"encoding/json"
	"math"
	"testing"
	"time"
)

// What is left out is what encoding/json leaves out.
func TestOptional(t *testing.T) {
	type word string
	type number float64
	type all struct {
		S word      `json:"s,omitempty"`
		F number    `json:"f,omitempty"`
		Z number    `json:"z,omitzero"`
		N int       `json:"n,omitempty"`
		T time.Time `json:"t,omitzero"`
		B bool      `json:"b,omitempty"`
	}
	zone := time.FixedZone("", -3600)
	for _, v := range []all{
		{},
		{F: number(math.Copysign(0, -1)), Z: number(math.Copysign(0, -1)), T: time.Time{}.In(zone)},
		{S: "<a>", F: 32.4, Z: -1e21, N: -1, T: time.Date(2027, 5, 15, 7, 0, 0, 1, zone), B: true},
		{N: 3},
	} {
		want, err := json.Marshal(v)
		if err != nil {
			t.Fatal(err)
		}
		b := OptString([]byte("{"), "s", v.S)
		b = OptFloat(b, "f", v.F)
		b = OptFloat(b, "z", v.Z)
		b = OptInt(b, "n", v.N)
		b = OptTime(b, "t", v.T)
		b = OptTrue(b, "b", v.B)
		if got := string(append(b, '}')); got != string(want) {
			t.Errorf("got %s, want %s", got, want)
		}
	}
}
