package shell

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"

	"huewright/internal/report"
)

// WriteJSON writes an answer that is the command line's own, an object, as package report writes the others: with the version
// of what its keys mean before them.
func WriteJSON(w io.Writer, v any) error {
	var data bytes.Buffer
	enc := json.NewEncoder(&data)
	enc.SetEscapeHTML(false)
	if err := enc.Encode(v); err != nil {
		return err
	}
	var out bytes.Buffer
	if err := json.Indent(&out, append(fmt.Appendf(nil, `{"version":%d,`, report.Version), data.Bytes()[1:]...), "", "  "); err != nil {
		return err
	}
	_, err := out.WriteTo(w)
	return err
}
