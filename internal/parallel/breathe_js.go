package parallel

import "time"

const breath = 100 * time.Millisecond // between breaths: a browser's request waits no longer, and the work takes 2 % longer

var breathed time.Time // a program in a browser has one thread

// breathe lets a browser go on now and then: it has one thread for the program and for what comes to it, so that without this
// neither another request nor the end of this one would be heard of before the work is done.
func breathe() {
	if time.Since(breathed) < breath {
		return
	}
	time.Sleep(time.Millisecond)
	breathed = time.Now()
}
