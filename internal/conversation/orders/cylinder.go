package orders

import (
	"strings"

	"gasmuster/internal/roster"
)

func KnownAnalyser(trip *roster.Trip, name string) bool {
	for _, a := range trip.Analysers {
		if strings.EqualFold(a.Name, name) {
			return true
		}
	}
	return false
}

// AnalyserName is an analyser's name as the trip writes it.
func AnalyserName(trip *roster.Trip, name string) string {
	for _, a := range trip.Analysers {
		if strings.EqualFold(a.Name, name) {
			return a.Name
		}
	}
	return Clip(name, 20)
}

// Labelled is the person's cylinder with that label; "@c5" is the one with that id.
func Labelled(p *roster.Person, label string) *roster.Cylinder {
	for _, c := range p.InUse() {
		if label == "@"+string(c.ID) {
			return c
		}
		if roster.SameLabel(c.Label, label) {
			return c
		}
	}
	return nil
}
