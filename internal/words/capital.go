package words

import (
	"unicode"
	"unicode/utf8"
)

// Capital is a text with a capital letter at its beginning, as a sentence or a line by itself has it.
func Capital(text string) string {
	first, size := utf8.DecodeRuneInString(text)
	if size == 0 || first == utf8.RuneError {
		return text
	}
	return string(unicode.ToUpper(first)) + text[size:]
}
