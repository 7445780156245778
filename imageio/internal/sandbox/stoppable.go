//go:build !js

package sandbox

import (
	"encoding/binary"
	"errors"
	"fmt"
	"slices"
)

// stopName is the global that stoppable adds to a module.
const stopName = "huewright.stop"

var errModule = errors.New("sandbox: the module is not well formed")

// stoppable returns a module that stops, by a trap, once its global stopName is not zero. Where a function begins and in each round of
// a loop it counts, and once in lookEvery it looks at that global and leaves the compiled code for a moment.
//
// Leaving matters: compiled code cannot be preempted, and a garbage collection stops the world, with whoever would set the global, until it
// has stopped everything. Growing memory by nothing leaves it, in wazero, and needs no import.
//
// Note: the runtime's own way, WithCloseOnContextDone, leaves the compiled code for each such look and made the
// decoder of HEIC six times as slow.
//
// Source: WebAssembly Core Specification 2.0, chapter 5 (binary format).
func stoppable(module []byte) ([]byte, error) {
	if len(module) < 8 || string(module[:4]) != "\x00asm" {
		return nil, errModule
	}
	const imports, globals, exports, code = 2, 6, 7, 10
	out := append([]byte(nil), module[:8]...)
	var stop uint64 // index of the new global
	rewritten, last := 0, byte(0)
	for in := (cursor{data: module[8:]}); len(in.data) > 0; {
		kind := in.byte()
		body := cursor{data: in.take(in.number())}
		var err error
		section := body.data
		if kind == imports || kind == globals || kind == exports || kind == code {
			if kind <= last {
				return nil, errModule // each comes once, in this order
			}
			last = kind
		}
		switch kind {
		case imports:
			stop, err = importedGlobals(body)
		case globals:
			rewritten++
			stop += body.number()
			for range 2 { // the second counts
				section = add(section, 0x7f, 1, 0x41, 0, 0x0b) // i32, mutable, starts as i32.const 0
			}
		case exports:
			rewritten++
			entry := append([]byte{byte(len(stopName))}, stopName...)
			section = add(section, binary.AppendUvarint(append(entry, 3), stop)...)
		case code:
			rewritten++
			section, err = withLooks(body, stop)
		}
		if err == nil && (in.failed || body.failed) {
			err = errModule
		}
		if err != nil {
			return nil, err
		}
		out = binary.AppendUvarint(append(out, kind), uint64(len(section)))
		out = append(out, section...)
	}
	if rewritten != 3 {
		return nil, errModule // our decoders have them all
	}
	return out, nil
}

// add returns a vector with one more entry.
func add(vector []byte, entry ...byte) []byte {
	in := cursor{data: vector}
	out := binary.AppendUvarint(nil, in.number()+1)
	return append(append(out, in.data...), entry...)
}

// importedGlobals counts those of the import section: they come first in the numbering.
func importedGlobals(in cursor) (n uint64, err error) {
	for range in.number() {
		in.take(in.number())
		in.take(in.number())
		switch in.byte() {
		case 0: // a function
			in.number()
		case 1: // a table
			in.byte()
			in.limits()
		case 2: // a memory
			in.limits()
		case 3:
			in.take(2)
			n++
		default:
			return 0, errModule
		}
		if in.failed {
			return 0, errModule
		}
	}
	return n, nil
}

// lookEvery is how many rounds of loops there are between two looks: about a millisecond.
const lookEvery = 1 << 20

// lookOf are the instructions of a look at global stop, by a count in the global after it.
func lookOf(stop uint64) []byte {
	get := func(global uint64) []byte { return binary.AppendUvarint([]byte{0x23}, global) }
	set := binary.AppendUvarint([]byte{0x24}, stop+1)
	return slices.Concat(
		get(stop+1), []byte{0x41, 1, 0x6a}, set, // count = count + 1
		get(stop+1), []byte{0x41}, signed(lookEvery-1), []byte{0x71, 0x45, 0x04, 0x40}, // if count & (lookEvery − 1) == 0
		[]byte{0x41, 0, 0x40, 0, 0x1a},                  // grow memory by nothing
		get(stop), []byte{0x04, 0x40, 0x00, 0x0b, 0x0b}, // if stop: unreachable
	)
}

// signed is a small number, not below 0, in signed LEB128.
func signed(v uint64) (out []byte) {
	for ; v > 0x3f; v >>= 7 {
		out = append(out, byte(v)|0x80)
	}
	return append(out, byte(v))
}

// withLooks rewrites the code section.
func withLooks(in cursor, stop uint64) ([]byte, error) {
	look := lookOf(stop)
	count := in.number()
	out := binary.AppendUvarint(nil, count)
	for range count {
		body := cursor{data: in.take(in.number())}
		if in.failed {
			return nil, errModule
		}
		whole := body.data
		for range body.number() { // local variables
			body.number()
			body.byte()
			if body.failed {
				return nil, errModule
			}
		}
		from := 0
		var function []byte
		insert := func() {
			at := len(whole) - len(body.data)
			function = append(append(function, whole[from:at]...), look...)
			from = at
		}
		insert()
		for len(body.data) > 0 {
			loop, err := body.instruction()
			if err != nil {
				return nil, err
			}
			if loop {
				insert()
			}
		}
		function = append(function, whole[from:]...)
		out = append(binary.AppendUvarint(out, uint64(len(function))), function...)
	}
	if len(in.data) > 0 {
		return nil, errModule
	}
	return out, nil
}

// A cursor goes through a module. Beyond the end it reads zeros and fails.
type cursor struct {
	data   []byte
	failed bool
}

func (c *cursor) take(n uint64) []byte {
	if n > uint64(len(c.data)) {
		c.failed, c.data = true, nil
		return nil
	}
	taken := c.data[:n]
	c.data = c.data[n:]
	return taken
}

func (c *cursor) byte() byte {
	if b := c.take(1); len(b) == 1 {
		return b[0]
	}
	return 0
}

// number reads an unsigned number in LEB128, and passes over a signed one.
func (c *cursor) number() (v uint64) {
	for shift := 0; ; shift += 7 {
		b := c.byte()
		v |= uint64(b&0x7f) << shift
		if b < 0x80 {
			return v
		}
	}
}

func (c *cursor) numbers(n uint64) {
	for ; n > 0 && !c.failed; n-- {
		c.number()
	}
}

func (c *cursor) limits() {
	if c.byte()&1 != 0 {
		c.number()
	}
	c.number()
}

// instruction passes over one instruction, and reports whether it begins a loop. It knows those of WebAssembly 2.0
// but for vectors.
func (c *cursor) instruction() (loop bool, err error) {
	switch op := c.byte(); {
	case op == 0x02, op == 0x03, op == 0x04: // block, loop, if: a type
		c.number()
		loop = op == 0x03
	case op == 0x0e: // br_table
		c.numbers(c.number() + 1)
	case op == 0x0c, op == 0x0d, op == 0x10, op >= 0x20 && op <= 0x26, op == 0x3f, op == 0x40, op == 0x41, op == 0x42,
		op == 0xd0, op == 0xd2: // one index or constant
		c.number()
	case op == 0x11, op >= 0x28 && op <= 0x3e: // call_indirect; memory: alignment and offset
		c.numbers(2)
	case op == 0x1c: // select of a type
		c.numbers(c.number())
	case op == 0x43:
		c.take(4)
	case op == 0x44:
		c.take(8)
	case op == 0xfc:
		switch more := c.number(); {
		case more <= 7: // saturating conversions
		case more == 9, more == 11, more == 13, more >= 15 && more <= 17:
			c.number()
		case more == 8, more == 10, more == 12, more == 14:
			c.numbers(2)
		default:
			return false, fmt.Errorf("%w: instruction fc %d", errModule, more)
		}
	case op <= 0x01, op == 0x05, op == 0x0b, op == 0x0f, op == 0x1a, op == 0x1b, op >= 0x45 && op <= 0xc4, op == 0xd1:
	default:
		return false, fmt.Errorf("%w: instruction %x", errModule, op)
	}
	if c.failed {
		return false, errModule
	}
	return loop, nil
}
