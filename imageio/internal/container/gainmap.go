package container

import (
	"bytes"
	"strings"
)

// hasGainMap reports a JPEG that carries a second picture for bright screens. What marks it
// stands in XMP or in a segment of its own, of the first picture or of the second, so the whole
// file is searched; marks this long do not turn up in a coded picture by chance.
//
// Sources: ISO 21496-1 (the URN); the XMP namespaces are common practice, no source.
func hasGainMap(data []byte) bool {
	for _, mark := range []string{"urn:iso:std:iso:ts:21496:-1", "/hdr-gain-map/1.0/", "HDRGainMapVersion"} {
		if bytes.Contains(data, []byte(mark)) {
			return true
		}
	}
	return false
}

// hasGainMap reports a second picture in the file that says how much brighter a bright screen
// is to show the first.
//
// Sources: ISO 21496-1 and ISO/IEC 23008-12 amendment 1 (items of kind tmap); before them,
// auxiliary pictures of types whose names end so, which is common practice without a source.
func (h *heifItems) hasGainMap() bool {
	for _, kind := range h.kinds {
		if kind == "tmap" {
			return true
		}
	}
	for _, property := range h.shared {
		if property.kind == "auxC" && strings.Contains(strings.ToLower(string(property.body)), "hdrgainmap") {
			return true
		}
	}
	return false
}
