package logbook

// An entry is put right by a further one that names it: one that replaces it, or one that withdraws it. That one may be
// withdrawn in its turn; then it has no effect, and what it put right stands again, and may be put right again. So an
// entry may be named by several, of which all but the last are withdrawn.
//
// An entry stands where the chain that begins with the last that names it, and goes on with the last withdrawal of each
// link, has an even number of links.

// links are the links of the chain of an entry, which is given as an expression of SQL, with their number.
func links(entry string) string {
	return `WITH RECURSIVE link(id, n) AS (
			SELECT (SELECT max(one.id) FROM entry one WHERE one.replaces = ` + entry + ` OR one.replaces_again = ` + entry + `), 1
			UNION ALL
			SELECT (SELECT max(next.id) FROM entry next WHERE next.kind = 'withdrawal'
				AND (next.replaces = link.id OR next.replaces_again = link.id)), n + 1
			FROM link WHERE link.id IS NOT NULL)`
}

// standing is a condition of SQL that holds where an entry stands. Whatever is named at all is named by replaces too.
func standing(entry string) string {
	return `NOT EXISTS (SELECT 1 FROM entry y WHERE y.replaces = ` + entry +
		` AND (` + links(entry) + ` SELECT count(id) % 2 FROM link) = 1)`
}

// putRightBy is an expression of SQL for the entry because of which another one does not stand; NULL where it stands.
// It is asked only of entries that some other one names, which named tells.
func putRightBy(entry, named string) string {
	return `CASE WHEN ` + named + ` IS NOT NULL THEN (` + links(entry) + ` SELECT max(id) FROM link HAVING count(id) % 2 = 1) END`
}
