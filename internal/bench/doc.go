// Package bench is a virtual bench: a simulated cabinet of two woods, photographed by a
// simulated phone, with the true colour of every area known. It draws the demo's photo and
// feeds the tests that say how near the whole chain comes to the truth.
//
// It is built so that what the program fits and what the bench does are honestly different
// things. Wood is a tree cut by a plane, its spectra come from what absorbs in it; paint is
// pigments, band by band; the sensor is no linear map of the eye, and the phone's software
// bends what it sees for looks. None of these are the models that the rest of the module fits
// to photos, but two things are shared because there is only one physics of them: films over
// a ground by Kubelka and Munk, and what the observer sees of a spectrum. Both are held
// against published figures where they live.
//
// Left out: light thrown from one thing onto another, gloss on wood, paint that lies thicker
// here than there, tone that follows the place in the picture.
//
// Everything is drawn from seeds and is the same on every run.
package bench
