package logbook

import (
	"context"
	"database/sql"
	"encoding/binary"
	"errors"
	"math"
	"slices"
	"strings"

	"huewright/colour"
)

// The index of colours is an R-tree. SQLite hands over what is in a box reading by reading, which takes several times as long as finding
// it. The nodes of the tree are rows of an ordinary table, up to 51 readings in each, and are read here as they are, level by level.
//
// A node is two bytes that tell the depth of the tree at its root, node 1; two that count its entries; and these: eight bytes for an entry
// of the log, or above the leaves for another node, and the bounds as 32-bit floating point, low and high of L*, a* and b* in turn. All are
// big-endian.
//
// Source: SQLite, Database Format of R-Tree Tables, in ext/rtree/rtree.c.
const (
	nodeHead    = 4
	nodeEntry   = 8 + 6*4
	deepestTree = 40 // of SQLite's own
	nodesAtOnce = 500
)

var errNoIndex = errors.New("the index of colours holds something else")

// readingsIn calls f with each reading that the index has in a box, and its colour by the index's 32-bit figures.
func (l *Log) readingsIn(ctx context.Context, b box, f func(entry int64, c colour.Lab)) error {
	tx, err := l.db.BeginTx(ctx, snapshot)
	if err != nil {
		return err
	}
	defer func() { _ = tx.Rollback() }()
	level := -1 // above the leaves; not known yet
	for nodes := []any{int64(1)}; len(nodes) > 0; level-- {
		var below []any
		for some := range slices.Chunk(nodes, nodesAtOnce) {
			err := eachNode(ctx, tx, some, func(node []byte) error {
				if level < 0 {
					level = int(binary.BigEndian.Uint16(node))
				}
				return entriesIn(node, b, func(of int64, c colour.Lab) {
					if level == 0 {
						f(of, c)
					} else {
						below = append(below, of)
					}
				})
			})
			if err != nil {
				return err
			}
		}
		if level > deepestTree {
			return errNoIndex
		}
		nodes = below
	}
	return nil
}

// eachNode calls f with each of the nodes of these numbers; what it is given holds until it returns.
func eachNode(ctx context.Context, tx *sql.Tx, numbers []any, f func(node []byte) error) error {
	marks := strings.Repeat(", ?", len(numbers))[2:]
	rows, err := tx.QueryContext(ctx, "SELECT data FROM reading_near_node WHERE nodeno IN ("+marks+")", numbers...)
	if err != nil {
		return err
	}
	defer func() { _ = rows.Close() }()
	n := 0
	for ; rows.Next(); n++ {
		var node sql.RawBytes
		if err := rows.Scan(&node); err != nil {
			return err
		}
		if len(node) < nodeHead {
			return errNoIndex
		}
		if err := f(node); err != nil {
			return err
		}
	}
	if err := rows.Err(); err != nil {
		return err
	}
	if n != len(numbers) {
		return errNoIndex
	}
	return nil
}

// entriesIn calls f with the entries of a node that have part in a box, and their low bounds.
func entriesIn(node []byte, b box, f func(of int64, low colour.Lab)) error {
	n := int(binary.BigEndian.Uint16(node[2:]))
	if len(node) < nodeHead+n*nodeEntry {
		return errNoIndex
	}
	for i := range n {
		entry := node[nodeHead+i*nodeEntry:][:nodeEntry]
		bound := func(k int) float64 { return float64(math.Float32frombits(binary.BigEndian.Uint32(entry[8+4*k:]))) }
		low, high := colour.Lab{L: bound(0), A: bound(2), B: bound(4)}, colour.Lab{L: bound(1), A: bound(3), B: bound(5)}
		if high.L >= b.Low.L && low.L <= b.High.L && high.A >= b.Low.A && low.A <= b.High.A && high.B >= b.Low.B && low.B <= b.High.B {
			f(int64(binary.BigEndian.Uint64(entry)), low)
		}
	}
	return nil
}
