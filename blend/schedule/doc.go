// Package schedule says when coats go on, how much of each to mix, and what to beware of.
//
// [LayOut] takes a [Job]: the coats of each area, the clear coats over all of them, what is known of the piece and a
// [Bench], which says when somebody works and in what air. It returns a [Timetable] of all work, from cleaning to cure.
// [NewBatch] takes the areas that one coating goes on and returns
// what to mix. [Cautions] takes what is known of the piece and the work and returns the dangers, those that matter
// first.
//
// Read drying (when a coat may be followed, and what air it bears), coats (the coats of one area in time), prepare
// (what comes before them) and timetable (all areas together); volume and caution stand alone.
//
// Times are those of the clock at the bench. Temperatures are in °C, humidities relative in per cent, areas in m²,
// volumes in ml. Figures are the trade's, as handbooks and labels have them, and say so; a label comes first.
package schedule
