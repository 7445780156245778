-- The log, version 3: found quickly by words, however many entries there are.

-- Notes by each three letters in a row, in whatever case; the notes themselves stand in entry. Only entries with a note are in it.
CREATE VIRTUAL TABLE note_text USING fts5(note, content = 'entry', content_rowid = 'id', tokenize = 'trigram', detail = 'none');
INSERT INTO note_text (rowid, note) SELECT id, note FROM entry WHERE note <> '';
CREATE TRIGGER entry_note_text AFTER INSERT ON entry WHEN new.note <> '' BEGIN
    INSERT INTO note_text (rowid, note) VALUES (new.id, new.note);
END;

-- Entries as they are listed, and by what else words may stand in.
CREATE INDEX entry_by_time ON entry (at, id);
CREATE INDEX entry_of_area ON entry (area) WHERE area <> '';
CREATE INDEX reading_of_stack ON reading (stack) WHERE stack <> '[]';
CREATE INDEX reading_of_coating ON reading (coating) WHERE coating IS NOT NULL;
