package icc

import "math"

// YCCRule turns luma and colour difference codes of 8 bits into R, G, B codes of 8 bits.
// The standard library knows one rule, that of JFIF; other formats bring others and say so
// elsewhere in the file or in their specification.
type YCCRule struct {
	luma                    [256]int32 // in 1/65536 of a code, as all of these
	redFromCr, greenFromCr  [256]int32
	greenFromCb, blueFromCb [256]int32
}

// newYCCRule makes the rule with luma weights kr, kb. Narrow range has luma 16–235 and
// colour differences 16–240, full range 0–255 both.
//
// Source: ITU-T H.273 (07/2021), 8.3, equations 35–55.
func newYCCRule(kr, kb float64, full bool) *YCCRule {
	const one = 1 << 16
	lumaScale, chromaScale, black := 1.0, 1.0, 0.0
	if !full {
		lumaScale, chromaScale, black = 255.0/219, 255.0/224, 16
	}
	kg := 1 - kr - kb
	fixed := func(v float64) int32 { return int32(math.Round(v * one)) }
	rule := new(YCCRule)
	for i := range 256 {
		rule.luma[i] = fixed(lumaScale*(float64(i)-black)) + one/2 // half a code, for rounding
		d := chromaScale * (float64(i) - 128)
		rule.redFromCr[i] = fixed(2 * (1 - kr) * d)
		rule.blueFromCb[i] = fixed(2 * (1 - kb) * d)
		rule.greenFromCr[i] = fixed(-2 * (1 - kr) * kr / kg * d)
		rule.greenFromCb[i] = fixed(-2 * (1 - kb) * kb / kg * d)
	}
	return rule
}

// The rule of JFIF, which HEIC files of phones follow too, and the one of lossy WebP.
//
// Sources: ITU-T T.871 (JFIF), 7; RFC 6386 (VP8), 9.2, which names BT.601 with narrow range.
var (
	JFIFRule = newYCCRule(0.299, 0.114, true)
	VP8Rule  = newYCCRule(0.299, 0.114, false)
)

// RGB returns codes of 8 bits, 0–255.
func (rule *YCCRule) RGB(y, cb, cr uint8) (r, g, b uint16) {
	l := rule.luma[y]
	return clampCode((l + rule.redFromCr[cr]) >> 16),
		clampCode((l + rule.greenFromCb[cb] + rule.greenFromCr[cr]) >> 16),
		clampCode((l + rule.blueFromCb[cb]) >> 16)
}

func clampCode(v int32) uint16 { return uint16(min(max(v, 0), 255)) }
