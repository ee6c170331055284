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
