package gas

var lateExamples = []example{
	{want: noStopNotGiven}, {want: leanNotGiven}, {want: humidAirNotGiven}, {want: carbonMonoxideNotGiven}, {want: oxygenClockNotGiven},
}
