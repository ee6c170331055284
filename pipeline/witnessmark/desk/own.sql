-- The desk's own file: who may do what, and recordings on their way in. Nothing here is part of the record.

CREATE TABLE IF NOT EXISTS facts (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

CREATE TABLE IF NOT EXISTS people (
    id TEXT PRIMARY KEY,
    name TEXT NOT NULL UNIQUE COLLATE NOCASE,
    role TEXT NOT NULL,                         -- access.people.Role
    password TEXT NOT NULL,                     -- Argon2id, with its parameters and salt
    epoch INTEGER NOT NULL DEFAULT 0,           -- goes up to end every sign-in made before
    active INTEGER NOT NULL DEFAULT 1,
    made_at TEXT NOT NULL                       -- UTC
) STRICT;

-- Access: links that make somebody a member or give a new password, each good for one use.
CREATE TABLE IF NOT EXISTS invites (
    id TEXT PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,                -- SHA-256 of the secret; the secret itself is nowhere
    role TEXT NOT NULL,
    person TEXT REFERENCES people (id),         -- whose password it replaces; NULL for somebody new
    made_by TEXT REFERENCES people (id),        -- NULL where it was made at the computer itself
    made_at TEXT NOT NULL,                      -- UTC, whole seconds, as are all times here
    expires_at TEXT NOT NULL,
    used_at TEXT
) STRICT;

CREATE TABLE IF NOT EXISTS tokens (             -- of programs that use the API
    id TEXT PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    person TEXT NOT NULL REFERENCES people (id),
    name TEXT NOT NULL,
    role TEXT NOT NULL,
    made_at TEXT NOT NULL,
    expires_at TEXT NOT NULL,
    used_at TEXT
) STRICT;

CREATE TABLE IF NOT EXISTS links (              -- to one walkround's summary, for its owner
    id TEXT PRIMARY KEY,
    digest TEXT NOT NULL UNIQUE,
    walkround TEXT NOT NULL,
    made_by TEXT NOT NULL REFERENCES people (id),
    made_at TEXT NOT NULL,
    expires_at TEXT NOT NULL,
    opened INTEGER NOT NULL DEFAULT 0,          -- how often
    opened_at TEXT
) STRICT;

CREATE TABLE IF NOT EXISTS waits (              -- failed sign-ins; names and addresses only as keyed hashes
    key TEXT PRIMARY KEY,
    failures INTEGER NOT NULL,
    at REAL NOT NULL                            -- of the last failure, seconds since 1970
) STRICT;

CREATE TABLE IF NOT EXISTS access_journal (            -- who changed what about access; it only grows
    number INTEGER PRIMARY KEY AUTOINCREMENT,
    at TEXT NOT NULL,
    who TEXT NOT NULL,
    what TEXT NOT NULL
) STRICT;
CREATE TRIGGER IF NOT EXISTS access_journal_is_not_changed BEFORE UPDATE ON access_journal
BEGIN SELECT RAISE(ABORT, 'the journal only grows'); END;
CREATE TRIGGER IF NOT EXISTS access_journal_is_not_cut BEFORE DELETE ON access_journal
BEGIN SELECT RAISE(ABORT, 'the journal only grows'); END;

CREATE TABLE IF NOT EXISTS walks (              -- recordings on their way in
    id TEXT PRIMARY KEY,                        -- made by the recorder
    person TEXT NOT NULL,                       -- id of who records
    who TEXT NOT NULL,                          -- their name then
    machine TEXT,                               -- chosen at the start
    jurisdiction TEXT,
    given_day TEXT,                             -- of the inspection, as sent
    day TEXT NOT NULL,                          -- of the inspection, as it will be recorded
    media_type TEXT NOT NULL,
    name TEXT NOT NULL,
    started_at TEXT NOT NULL,                   -- by the recorder's clock
    came_at TEXT NOT NULL,                      -- by ours; UTC, as all times below
    notes TEXT NOT NULL DEFAULT '[]',           -- JSON: what a person should know of it
    state TEXT NOT NULL DEFAULT 'coming',       -- walk.forms.State
    chunks INTEGER,                             -- in all, once it is over
    bytes INTEGER,                              -- of the whole, likewise
    ended_at TEXT,
    damaged INTEGER NOT NULL DEFAULT 0,         -- whether somebody asked for what is left of it
    progress REAL NOT NULL DEFAULT 0,
    tries INTEGER NOT NULL DEFAULT 0,           -- readings that failed for want of something
    ends INTEGER NOT NULL DEFAULT 0,            -- readings in which the whole desk ended
    not_before REAL NOT NULL DEFAULT 0,         -- seconds since 1970: when to try again
    what TEXT, remedy TEXT,                     -- the last problem
    walkround TEXT,
    settled_at TEXT
) STRICT;
CREATE INDEX IF NOT EXISTS walks_by_state ON walks (state, ended_at);
CREATE INDEX IF NOT EXISTS walks_by_walkround ON walks (walkround);

CREATE TABLE IF NOT EXISTS walk_chunks (        -- their bytes lie in files
    walk TEXT NOT NULL REFERENCES walks ON DELETE CASCADE,
    number INTEGER NOT NULL,
    size INTEGER NOT NULL,
    sha256 TEXT NOT NULL,
    PRIMARY KEY (walk, number)
) STRICT, WITHOUT ROWID;

CREATE TABLE IF NOT EXISTS walk_photos (        -- until the record has them
    walk TEXT NOT NULL REFERENCES walks ON DELETE CASCADE,
    sha256 TEXT NOT NULL,
    at REAL,
    media_type TEXT NOT NULL,
    size INTEGER NOT NULL,
    handed_over INTEGER NOT NULL DEFAULT 0,
    PRIMARY KEY (walk, sha256)
) STRICT, WITHOUT ROWID;

-- Why things were rejected, to offer the words again.
CREATE TABLE IF NOT EXISTS reasons (reason TEXT PRIMARY KEY, times INTEGER NOT NULL) STRICT;
