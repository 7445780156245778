-- The log, version 2.
--
-- An entry that was put right, and whose putting right was withdrawn, stands again and may be put right once more. Column
-- replaces names each entry once; what puts one right again names it here.
ALTER TABLE entry ADD COLUMN replaces_again INTEGER REFERENCES entry (id) CHECK (replaces_again IS NULL OR replaces IS NULL);
CREATE INDEX entry_replaces_again ON entry (replaces_again) WHERE replaces_again IS NOT NULL;
