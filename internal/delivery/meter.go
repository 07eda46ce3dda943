package delivery

import "time"

// Meter counts what goes through the doors. Labels are channels, kinds and
// results: never ids.
type Meter interface {
	Received(channel, kind string, took time.Duration, err error)
	Committed(kind string)
	Conflict()
	Delivered(channel string, result Result, took time.Duration)
	Buried(channel, reason string)
}

type noMeter struct{}

func (noMeter) Received(string, string, time.Duration, error) {}
func (noMeter) Committed(string)                              {}
func (noMeter) Conflict()                                     {}
func (noMeter) Delivered(string, Result, time.Duration)       {}
func (noMeter) Buried(string, string)                         {}
