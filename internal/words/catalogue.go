package words

import (
	"embed"
	"fmt"
	"path"
	"strings"
	"sync"

	"github.com/pelletier/go-toml/v2"

	"huewright/internal/fault"
)

// A Text is what is said for one code.
type Text struct {
	Says     string `toml:"says"`
	Part     string `toml:"part"`
	Hint     string `toml:"hint"`
	Page     string `toml:"page"`
	PageHint string `toml:"page-hint"`
}

//go:embed english/*.toml
var files embed.FS

// subjects are the texts of each subject, read when one of them is first said.
var subjects sync.Map // of string to func() (map[string]Text, error)

func lookUp(code fault.Code) (Text, bool) {
	subject, thing, _ := strings.Cut(string(code), ".")
	read, _ := subjects.LoadOrStore(subject, sync.OnceValues(func() (map[string]Text, error) { return readSubject(subject) }))
	texts, err := read.(func() (map[string]Text, error))()
	if err != nil {
		return Text{}, false
	}
	t, known := texts[thing]
	return t, known
}

func readSubject(subject string) (map[string]Text, error) {
	data, err := files.ReadFile(path.Join("english", subject+".toml"))
	if err != nil {
		return nil, err
	}
	var texts map[string]Text
	d := toml.NewDecoder(strings.NewReader(string(data))).DisallowUnknownFields()
	if err := d.Decode(&texts); err != nil {
		return nil, fmt.Errorf("%s.toml: %w", subject, err)
	}
	return texts, nil
}
