-- The log, version 1.
--
-- Every row stands for something that was done, seen or said, and stays as it was written. What was
-- wrong is put right by a further entry that names the one it replaces; what should not stand at
-- all, by an entry of kind 'withdrawal' that names it. The triggers at the end hold this.
--
-- Times are RFC 3339 in UTC with milliseconds, so that they sort as text. Colours are CIE L*, a*, b*
-- for D65 and the 2° observer. Uncertainties are 95 % radii in ΔE00. Shares are of volume, 0 to 1.

-- A piece of furniture.
CREATE TABLE piece (
    id       INTEGER PRIMARY KEY,
    uid      BLOB NOT NULL UNIQUE CHECK (length(uid) = 16), -- the same in every copy of the log
    name     TEXT NOT NULL UNIQUE COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 200),
    begun_at TEXT NOT NULL CHECK (begun_at GLOB '????-??-??T??:??:??.???Z'),
    about    TEXT NOT NULL DEFAULT ''
) STRICT;

-- A photo that is kept. Its bytes lie beside this file, named by their hash.
CREATE TABLE photo (
    sha256   TEXT PRIMARY KEY CHECK (length(sha256) = 64 AND sha256 NOT GLOB '*[^0-9a-f]*'),
    kept_at  TEXT NOT NULL CHECK (kept_at GLOB '????-??-??T??:??:??.???Z'),
    name     TEXT NOT NULL,                             -- as its file was called, without folders
    bytes    INTEGER NOT NULL CHECK (bytes > 0),
    taken_at TEXT NOT NULL DEFAULT '',                  -- as the camera says it, its own clock; '' unknown
    camera   TEXT NOT NULL DEFAULT ''                   -- make and model; '' unknown
) STRICT, WITHOUT ROWID;

-- A coating, as somebody calls it. One of a name for each way of being it.
CREATE TABLE coating (
    id     INTEGER PRIMARY KEY,
    uid    BLOB NOT NULL UNIQUE CHECK (length(uid) = 16),
    name   TEXT NOT NULL COLLATE NOCASE CHECK (length(name) BETWEEN 1 AND 200),
    kind   TEXT NOT NULL CHECK (kind IN ('wash', 'glaze', 'toner', 'stain', 'dye', 'paint')),
    family TEXT NOT NULL DEFAULT '',                    -- what it is thinned with; '' unknown
    put_on TEXT NOT NULL DEFAULT '',                    -- brushed, sprayed or wiped; '' as is usual for its kind
    UNIQUE (name, kind, family, put_on)
) STRICT;

-- A tin or a mix of a coating. Two batches of one coating need not be one colour.
CREATE TABLE batch (
    id      INTEGER PRIMARY KEY,
    uid     BLOB NOT NULL UNIQUE CHECK (length(uid) = 16),
    coating INTEGER NOT NULL REFERENCES coating (id),
    name    TEXT NOT NULL COLLATE NOCASE CHECK (length(name) <= 200), -- what tells it from others: a number, a date; '' the only one so far
    UNIQUE (coating, name)
) STRICT;

-- A question that was put to the program, and its answer, whole: it can be put again.
CREATE TABLE run (
    id      INTEGER PRIMARY KEY,
    uid     BLOB NOT NULL UNIQUE CHECK (length(uid) = 16),
    what    TEXT NOT NULL CHECK (what IN ('measure', 'plan', 'check')),
    program TEXT NOT NULL,                              -- its version
    request TEXT NOT NULL CHECK (json_valid(request)),
    result  TEXT NOT NULL CHECK (json_valid(result))
) STRICT;

-- The photos a run looked at, by the names its request has for them.
CREATE TABLE run_photo (
    run    INTEGER NOT NULL REFERENCES run (id),
    path   TEXT NOT NULL,
    sha256 TEXT NOT NULL REFERENCES photo (sha256),
    PRIMARY KEY (run, path)
) STRICT, WITHOUT ROWID;

-- One line of the log. What is particular to its kind stands in the table of that name.
CREATE TABLE entry (
    id       INTEGER PRIMARY KEY,
    uid      BLOB NOT NULL UNIQUE CHECK (length(uid) = 16),
    at       TEXT NOT NULL CHECK (at GLOB '????-??-??T??:??:??.???Z'), -- when it happened
    noted_at TEXT NOT NULL CHECK (noted_at GLOB '????-??-??T??:??:??.???Z'), -- when it was written down
    kind     TEXT NOT NULL CHECK (kind IN ('area', 'picture', 'reference', 'reading', 'test coat', 'coats', 'plan', 'check', 'note', 'withdrawal')),
    piece    INTEGER REFERENCES piece (id),             -- NULL for what belongs to none
    area     TEXT NOT NULL DEFAULT '' CHECK (length(area) <= 200), -- the part of the piece; '' the whole
    run      INTEGER REFERENCES run (id),               -- that it came from; NULL when a person wrote it
    note     TEXT NOT NULL DEFAULT '' CHECK (length(note) <= 20000),
    replaces INTEGER UNIQUE REFERENCES entry (id)       -- that this one puts right
) STRICT;
CREATE INDEX entry_of_piece ON entry (piece, at, id);
CREATE INDEX entry_of_run ON entry (run);

-- What a part of the piece is made of.
CREATE TABLE area (
    entry   INTEGER PRIMARY KEY REFERENCES entry (id),
    wood    TEXT NOT NULL DEFAULT '' COLLATE NOCASE,
    cut     TEXT NOT NULL DEFAULT '',                   -- as sawn or sliced: flat, quarter, rift, veneer
    surface TEXT NOT NULL DEFAULT '',                   -- bare, sealed, clear-coated, non-absorbing, porous; '' unknown
    sanding TEXT NOT NULL DEFAULT '',                   -- grits, as "150, 180, 220"
    wood_age TEXT NOT NULL DEFAULT '',                  -- how old the wood or its surface is, in words
    square_metres REAL CHECK (square_metres > 0)        -- to be coated; NULL unknown
) STRICT;

-- A photo of the piece.
CREATE TABLE picture (
    entry  INTEGER PRIMARY KEY REFERENCES entry (id),
    sha256 TEXT NOT NULL REFERENCES photo (sha256)
) STRICT;

-- What a photo's colours were set right by.
CREATE TABLE reference (
    entry     INTEGER PRIMARY KEY REFERENCES entry (id),
    sha256    TEXT NOT NULL REFERENCES photo (sha256),
    by        TEXT NOT NULL,                            -- chart, grey, none
    patches   INTEGER NOT NULL CHECK (patches >= 0),    -- that counted
    left_out  REAL CHECK (left_out >= 0),               -- mean ΔE00 of patches predicted by the others; NULL not known
    left_out_95 REAL CHECK (left_out_95 >= 0),          -- and of 95 in 100
    uneven    REAL CHECK (uneven >= 0)                  -- share of luminance by which the light may differ; NULL not known
) STRICT;

-- A colour that was measured.
CREATE TABLE reading (
    entry      INTEGER PRIMARY KEY REFERENCES entry (id),
    of         TEXT NOT NULL CHECK (of IN ('area', 'target', 'chip', 'ground', 'result', 'repair', 'tie', 'other')),
    l          REAL NOT NULL CHECK (l BETWEEN 0 AND 100),
    a          REAL NOT NULL CHECK (a BETWEEN -200 AND 200),
    b          REAL NOT NULL CHECK (b BETWEEN -200 AND 200),
    plus_minus REAL NOT NULL CHECK (plus_minus >= 0),
    own        REAL NOT NULL DEFAULT 0 CHECK (own >= 0), -- the part that it shares with no reading of its photo
    spread     REAL CHECK (spread >= 0),                -- standard deviation of L* over the grain; NULL not known
    pixels     INTEGER CHECK (pixels > 0),              -- NULL not from a photo
    sha256     TEXT REFERENCES photo (sha256),          -- NULL not from a kept photo
    relative   INTEGER NOT NULL DEFAULT 0 CHECK (relative IN (0, 1)), -- no reference: good beside others of its photo only
    surface    TEXT NOT NULL DEFAULT '',                -- as it was then; '' unknown
    stack      TEXT NOT NULL DEFAULT '[]' CHECK (json_valid(stack)), -- coats on it, the undermost first: [["coating", 2], …]
    coating    INTEGER REFERENCES coating (id),         -- of a chip
    light_l REAL, light_a REAL, light_b REAL,           -- lightest quarter of the grain; NULL not known
    dark_l  REAL, dark_a  REAL, dark_b  REAL            -- darkest
) STRICT;

-- Readings by their colour. Boxes of 32-bit figures that hold the colour; reading has it exactly.
CREATE VIRTUAL TABLE reading_near USING rtree (entry, l0, l1, a0, a1, b0, b1);

-- Coats that were laid for trial.
CREATE TABLE test_coat (
    entry   INTEGER PRIMARY KEY REFERENCES entry (id),
    batch   INTEGER NOT NULL REFERENCES batch (id),
    coats   REAL NOT NULL CHECK (coats > 0),
    share   REAL NOT NULL CHECK (share > 0 AND share <= 1), -- of the coating in the mix
    ground  INTEGER NOT NULL REFERENCES reading (entry),
    result  INTEGER NOT NULL REFERENCES reading (entry),
    surface TEXT NOT NULL DEFAULT ''                    -- of the ground; '' unknown
) STRICT;
CREATE INDEX test_coat_of_batch ON test_coat (batch);

-- Coats that were laid on the piece.
CREATE TABLE coats (
    entry       INTEGER PRIMARY KEY REFERENCES entry (id),
    batch       INTEGER NOT NULL REFERENCES batch (id),
    coats       INTEGER NOT NULL CHECK (coats > 0),
    share       REAL NOT NULL CHECK (share > 0 AND share <= 1), -- of the coating in the mix
    thinned_with TEXT NOT NULL DEFAULT '',
    put_on      TEXT NOT NULL DEFAULT '',               -- brushed, sprayed, wiped; '' unknown
    wiped_after REAL CHECK (wiped_after >= 0),          -- minutes; NULL not wiped, or unknown
    dried       REAL CHECK (dried >= 0),                -- hours before the next step; NULL unknown
    temperature REAL CHECK (temperature BETWEEN -50 AND 80), -- °C
    humidity    REAL CHECK (humidity BETWEEN 0 AND 100), -- % relative
    ground      INTEGER REFERENCES reading (entry),     -- what it lay on; NULL not measured
    result      INTEGER REFERENCES reading (entry)      -- what came of it, dry; NULL not measured
) STRICT;
CREATE INDEX coats_of_batch ON coats (batch);

-- What a plan put forward for an area.
CREATE TABLE plan (
    entry       INTEGER PRIMARY KEY REFERENCES entry (id),
    coats       INTEGER NOT NULL CHECK (coats >= 0),    -- still to come, in all
    low         INTEGER NOT NULL CHECK (low >= 0),      -- the count that is truly best lies from low to high
    high        INTEGER NOT NULL CHECK (high >= low),   --   80 times in 100
    stack       TEXT NOT NULL CHECK (json_valid(stack)), -- the area's coats after it, the undermost first
    target_l REAL, target_a REAL, target_b REAL,        -- NULL where areas are to meet one another
    before      REAL CHECK (before >= 0),               -- ΔE00 to the target as it is
    after       REAL CHECK (after >= 0)                 -- and after the coats
) STRICT;

-- A colour that a plan foresaw.
CREATE TABLE foreseen (
    id      INTEGER PRIMARY KEY,
    entry   INTEGER NOT NULL REFERENCES entry (id),     -- the plan
    coating INTEGER NOT NULL REFERENCES coating (id),   -- of the uppermost coat
    laid    INTEGER NOT NULL CHECK (laid > 0),          -- coats of it, from the area as it was
    stack   TEXT NOT NULL CHECK (json_valid(stack)),    -- all coats the area would then have
    l REAL NOT NULL, a REAL NOT NULL, b REAL NOT NULL,
    plus_minus REAL NOT NULL CHECK (plus_minus >= 0),   -- of the colour, the area's own reading in it
    step_l REAL NOT NULL, step_a REAL NOT NULL, step_b REAL NOT NULL -- what the last coat alone was to change
) STRICT;
CREATE INDEX foreseen_of_plan ON foreseen (entry);

-- What a check said of a repair.
CREATE TABLE verdict (
    entry   INTEGER PRIMARY KEY REFERENCES entry (id),
    says    TEXT NOT NULL,
    of100   REAL NOT NULL CHECK (of100 BETWEEN 0 AND 100), -- equal patches of the wood that stand out less
    delta_e REAL NOT NULL CHECK (delta_e >= 0)          -- ΔE00 to its surroundings
) STRICT;

-- Rows are never rewritten.
CREATE TRIGGER piece_no_update BEFORE UPDATE ON piece BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER piece_no_delete BEFORE DELETE ON piece BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER photo_no_update BEFORE UPDATE ON photo BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER photo_no_delete BEFORE DELETE ON photo BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER coating_no_update BEFORE UPDATE ON coating BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER coating_no_delete BEFORE DELETE ON coating BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER batch_no_update BEFORE UPDATE ON batch BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER batch_no_delete BEFORE DELETE ON batch BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER run_no_update BEFORE UPDATE ON run BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER run_no_delete BEFORE DELETE ON run BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER run_photo_no_update BEFORE UPDATE ON run_photo BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER run_photo_no_delete BEFORE DELETE ON run_photo BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER entry_no_update BEFORE UPDATE ON entry BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER entry_no_delete BEFORE DELETE ON entry BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER area_no_update BEFORE UPDATE ON area BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER area_no_delete BEFORE DELETE ON area BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER picture_no_update BEFORE UPDATE ON picture BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER picture_no_delete BEFORE DELETE ON picture BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER reference_no_update BEFORE UPDATE ON reference BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER reference_no_delete BEFORE DELETE ON reference BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER reading_no_update BEFORE UPDATE ON reading BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER reading_no_delete BEFORE DELETE ON reading BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER test_coat_no_update BEFORE UPDATE ON test_coat BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER test_coat_no_delete BEFORE DELETE ON test_coat BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER coats_no_update BEFORE UPDATE ON coats BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER coats_no_delete BEFORE DELETE ON coats BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER plan_no_update BEFORE UPDATE ON plan BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER plan_no_delete BEFORE DELETE ON plan BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER foreseen_no_update BEFORE UPDATE ON foreseen BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER foreseen_no_delete BEFORE DELETE ON foreseen BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER verdict_no_update BEFORE UPDATE ON verdict BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
CREATE TRIGGER verdict_no_delete BEFORE DELETE ON verdict BEGIN SELECT RAISE(ABORT, 'rows of the log are never rewritten'); END;
