package jpeg

// Factors of the transform: cosines and sines of so many sixteenths of π, those of six over √2, in so many bits.
const (
	cos6Fine, sin6Fine = 70936, 171254 // 18 bits
	cos6, sin6         = 1108, 2676    // 12 bits
	cos3, sin3         = 3406, 2276
	cos1, sin1         = 4017, 799
	rootCoarse         = 181   // 1/√2, 8 bits
	rootFine           = 11585 // 14 bits
)

// transform turns the coefficients of a block into samples, blockSide rows of them, stride apart. The first is given apart, times
// its step.
//
// It keeps the bits of intermediate results that the standard library's decoder keeps, and drops those that it drops, overflow
// of damaged data included: the samples are the same.
//
// Source: Loeffler, Ligtenberg, Moschytz (1989), ICASSP, 988–991.
func transform(first int32, all []coefficient, steps *[64]int32, to []uint8, stride int) {
	if len(all) == 0 {
		code := sample((first<<17 + 1<<19) >> 20)
		for y := range blockSide {
			line := to[y*stride:][:blockSide:blockSide]
			for x := range line {
				line[x] = code
			}
		}
		return
	}
	var of [64]int32
	of[0] = first
	rows := uint(1)
	for _, c := range all {
		at := natural[c.at&63]
		of[at&63] = c.value * steps[c.at&63]
		rows |= 1 << (at >> 3)
	}
	for y := range blockSide {
		if rows>>y&1 == 1 {
			transformRow((*[8]int32)(of[8*y:]))
		}
	}
	if rows == 1 {
		line := to[:blockSide:blockSide]
		for x := range line {
			line[x] = sample((of[x] + 1<<19) >> 20)
		}
		for y := 1; y < blockSide; y++ {
			copy(to[y*stride:][:blockSide], line)
		}
		return
	}
	for x := range blockSide {
		transformColumn(&of, x)
	}
	for y := range blockSide {
		line, from := to[y*stride:][:blockSide:blockSide], (*[8]int32)(of[8*y:])
		for x := range line {
			line[x] = sample(from[x])
		}
	}
}

// sample is the code of a sample, which lie round 0.
func sample(v int32) uint8 { return uint8(min(max(v, -128), 127) + 128) }

func transformRow(of *[8]int32) {
	// Even coefficients.
	a, b := (of[0]+of[4])<<17, (of[0]-of[4])<<17
	c, d := of[2]*cos6Fine-of[6]*sin6Fine, of[6]*cos6Fine+of[2]*sin6Fine
	e0, e3, e1, e2 := a+d, a-d, b+c, b-c
	// Odd ones.
	p, q := (of[1]+of[7])<<7, (of[1]-of[7])<<7
	r, s := of[3]*rootCoarse, of[5]*rootCoarse
	p, r, q, s = (p+r)>>2, (p-r)>>2, (q+s)>>2, (q-s)>>2
	o3, o0 := q*cos3-p*sin3, p*cos3+q*sin3
	o2, o1 := r*cos1-s*sin1, s*cos1+r*sin1
	of[0], of[7] = e0+o0, e0-o0
	of[1], of[6] = e1+o1, e1-o1
	of[2], of[5] = e2+o2, e2-o2
	of[3], of[4] = e3+o3, e3-o3
}

func transformColumn(of *[64]int32, x int) {
	i := x & 7
	first := of[i] + 1<<19 // for rounding
	a, b := (first+of[i+32])>>2, (first-of[i+32])>>2
	two, six := of[i+16]>>13, of[i+48]>>13
	c, d := two*cos6-six*sin6, six*cos6+two*sin6
	e0, e3, e1, e2 := a+d, a-d, b+c, b-c
	p, q := of[i+8]+of[i+56], of[i+8]-of[i+56]
	r, s := of[i+24]>>13*rootFine, of[i+40]>>13*rootFine
	p, r, q, s = (p+r)>>14, (p-r)>>14, (q+s)>>14, (q-s)>>14
	o3, o0 := q*cos3-p*sin3, p*cos3+q*sin3
	o2, o1 := r*cos1-s*sin1, s*cos1+r*sin1
	of[i], of[i+56] = (e0+o0)>>18, (e0-o0)>>18
	of[i+8], of[i+48] = (e1+o1)>>18, (e1-o1)>>18
	of[i+16], of[i+40] = (e2+o2)>>18, (e2-o2)>>18
	of[i+24], of[i+32] = (e3+o3)>>18, (e3-o3)>>18
}
