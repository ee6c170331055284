-- Version 2: every item as it stands now, its words for searching, and pictures.

-- One row for each item that was drafted or added. Derived from drafts and decisions, and kept in step.

CREATE TABLE entries (
    number INTEGER PRIMARY KEY,                 -- grows with intake: a higher one is newer
    walkround TEXT NOT NULL REFERENCES walkrounds (id),
    item TEXT NOT NULL,
    standing TEXT NOT NULL CHECK (standing IN ('waiting', 'confirmed', 'rejected')),
    component TEXT,
    machine_end TEXT,
    side TEXT,
    condition TEXT,
    state TEXT,
    quantity TEXT,
    value ANY,
    unit TEXT,
    work TEXT,
    status TEXT,                                -- of the work: done or wanted
    registration TEXT,                          -- of the walkround's machine: as confirmed, or else as drafted
    vin TEXT,
    identity TEXT NOT NULL,                     -- registration and VIN, also without their spaces
    words TEXT NOT NULL,                        -- what the item says, in plain words
    heard TEXT NOT NULL,
    who TEXT NOT NULL,                          -- who decided last; empty while nobody has
    UNIQUE (walkround, item)
) STRICT;
CREATE INDEX entries_by_standing ON entries (walkround, standing);

CREATE VIRTUAL TABLE entry_words USING fts5 (
    identity, words, heard, who,
    content = 'entries', content_rowid = 'number', tokenize = 'porter unicode61 remove_diacritics 2', prefix = '1 2 3'
);
CREATE TRIGGER entries_in AFTER INSERT ON entries
BEGIN
    INSERT INTO entry_words (rowid, identity, words, heard, who)
    VALUES (new.number, new.identity, new.words, new.heard, new.who);
END;
CREATE TRIGGER entries_out AFTER DELETE ON entries
BEGIN
    INSERT INTO entry_words (entry_words, rowid, identity, words, heard, who)
    VALUES ('delete', old.number, old.identity, old.words, old.heard, old.who);
END;
CREATE TRIGGER entries_anew AFTER UPDATE OF identity, words, heard, who ON entries
BEGIN
    INSERT INTO entry_words (entry_words, rowid, identity, words, heard, who)
    VALUES ('delete', old.number, old.identity, old.words, old.heard, old.who);
    INSERT INTO entry_words (rowid, identity, words, heard, who)
    VALUES (new.number, new.identity, new.words, new.heard, new.who);
END;

-- Pictures. Their bytes lie in files beside the record, named by their hash.

CREATE TABLE photos (
    number INTEGER PRIMARY KEY,
    walkround TEXT NOT NULL REFERENCES walkrounds (id),
    sha256 TEXT NOT NULL,
    seconds REAL,                               -- from the start of the recording; NULL: of the whole walkround
    media_type TEXT NOT NULL,
    size INTEGER NOT NULL,                      -- bytes
    who TEXT NOT NULL,
    added_at TEXT NOT NULL                      -- UTC
) STRICT;
CREATE UNIQUE INDEX photos_once ON photos (walkround, sha256, coalesce(seconds, -1));

CREATE INDEX walkrounds_by_day ON walkrounds (inspected_on);
