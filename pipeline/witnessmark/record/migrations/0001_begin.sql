-- Version 1 of the record. Hashes are SHA-256 in lower-case hexadecimal; "body" columns hold JSON.

CREATE TABLE meta (key TEXT PRIMARY KEY, value TEXT NOT NULL) STRICT;

-- What came in: one row each per recording, never changed afterwards.

CREATE TABLE recordings (
    sha256 TEXT PRIMARY KEY,
    name TEXT NOT NULL,
    duration REAL NOT NULL                      -- seconds
) STRICT;

CREATE TABLE transcripts (
    recording TEXT PRIMARY KEY REFERENCES recordings (sha256),
    model TEXT NOT NULL,
    text TEXT NOT NULL,
    body TEXT NOT NULL                          -- types.Transcript
) STRICT;

CREATE TABLE walkrounds (
    number INTEGER PRIMARY KEY,                 -- in the order they came in
    id TEXT NOT NULL UNIQUE,
    recording TEXT NOT NULL UNIQUE REFERENCES recordings (sha256),
    inspected_on TEXT NOT NULL,                 -- YYYY-MM-DD
    taken_in_at TEXT NOT NULL                   -- UTC
) STRICT;

CREATE TABLE drafts (
    walkround TEXT PRIMARY KEY REFERENCES walkrounds (id),
    body TEXT NOT NULL,                         -- types.Assessment: the draft with its verdicts
    sha256 TEXT NOT NULL,                       -- of body; every decision carries it
    knowledge TEXT NOT NULL                     -- program version and hash of the knowledge that made it
) STRICT;

-- The drafted items laid flat for searching, and the machine's identity among them. Not confirmed.

CREATE TABLE items (
    walkround TEXT NOT NULL REFERENCES walkrounds (id),
    item TEXT NOT NULL,
    sort TEXT NOT NULL CHECK (sort IN ('machine', 'finding', 'reading', 'action')),
    registration TEXT,
    vin TEXT,
    component TEXT,
    machine_end TEXT,
    side TEXT,
    condition TEXT,
    state TEXT,
    quantity TEXT,
    value ANY,
    unit TEXT,
    phase TEXT,
    work TEXT,
    status TEXT,
    grade TEXT,                                 -- of the deciding verdict
    doubts TEXT NOT NULL,
    heard TEXT NOT NULL,
    PRIMARY KEY (walkround, item)
) STRICT;
CREATE INDEX items_by_component ON items (component);

-- The trail. Rows are only ever added; each carries the hash of the one before.

CREATE TABLE decisions (
    seq INTEGER PRIMARY KEY,
    body TEXT NOT NULL,                         -- types.Decision, canonical JSON
    draft TEXT NOT NULL,                        -- sha256 of the draft decided on
    previous TEXT NOT NULL,
    hash TEXT NOT NULL,
    walkround TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.walkround')) REFERENCES walkrounds (id),
    item TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.item')),
    kind TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.kind')),
    who TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.who')),
    decided_at TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.when')),
    why TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.why'))
) STRICT;
CREATE INDEX decisions_by_item ON decisions (walkround, item, seq);

CREATE TRIGGER decisions_follow BEFORE INSERT ON decisions
WHEN new.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM decisions)
  OR new.previous IS NOT (SELECT value FROM meta WHERE key = 'last_hash')
BEGIN SELECT raise(ABORT, 'a decision must follow the last one'); END;
CREATE TRIGGER decisions_head AFTER INSERT ON decisions
BEGIN UPDATE meta SET value = new.hash WHERE key = 'last_hash'; END;
CREATE TRIGGER decisions_stay BEFORE UPDATE ON decisions
BEGIN SELECT raise(ABORT, 'decisions are only ever added'); END;
CREATE TRIGGER decisions_remain BEFORE DELETE ON decisions
BEGIN SELECT raise(ABORT, 'decisions are only ever added'); END;
CREATE TRIGGER drafts_stay BEFORE UPDATE ON drafts
BEGIN SELECT raise(ABORT, 'drafts are never changed'); END;
CREATE TRIGGER drafts_remain BEFORE DELETE ON drafts
BEGIN SELECT raise(ABORT, 'drafts are never changed'); END;
CREATE TRIGGER transcripts_stay BEFORE UPDATE ON transcripts
BEGIN SELECT raise(ABORT, 'transcripts are never changed'); END;
CREATE TRIGGER transcripts_remain BEFORE DELETE ON transcripts
BEGIN SELECT raise(ABORT, 'transcripts are never changed'); END;

-- What the trail comes to. Derived: each row is there because of the decision it names.

CREATE TABLE machines (
    walkround TEXT NOT NULL REFERENCES walkrounds (id),
    item TEXT NOT NULL CHECK (item = 'machine'),
    registration TEXT,
    vin TEXT,
    odometer REAL,
    odometer_unit TEXT,
    registration_key TEXT,                      -- capitals and digits only, for looking up
    vin_key TEXT,
    heard TEXT NOT NULL,
    drafted TEXT,
    body TEXT NOT NULL,                         -- types.Machine
    decision INTEGER NOT NULL REFERENCES decisions (seq),
    PRIMARY KEY (walkround, item),
    CHECK (registration_key IS NOT NULL OR vin_key IS NOT NULL)
) STRICT;
CREATE INDEX machines_by_registration ON machines (registration_key);
CREATE INDEX machines_by_vin ON machines (vin_key);

CREATE TABLE confirmed_findings (
    walkround TEXT NOT NULL REFERENCES walkrounds (id),
    item TEXT NOT NULL,
    component TEXT NOT NULL,
    machine_end TEXT,
    side TEXT,
    condition TEXT,
    state TEXT NOT NULL,
    heard TEXT NOT NULL,
    drafted TEXT,                               -- NULL when the reviewer added it
    body TEXT NOT NULL,                         -- types.Finding as confirmed
    decision INTEGER NOT NULL REFERENCES decisions (seq),
    PRIMARY KEY (walkround, item)
) STRICT;

CREATE TABLE confirmed_readings (
    walkround TEXT NOT NULL REFERENCES walkrounds (id),
    item TEXT NOT NULL,
    component TEXT NOT NULL,
    machine_end TEXT,
    side TEXT,
    quantity TEXT NOT NULL,
    value ANY NOT NULL,
    unit TEXT,
    phase TEXT NOT NULL,
    heard TEXT NOT NULL,
    drafted TEXT,
    body TEXT NOT NULL,                         -- types.Reading as confirmed
    decision INTEGER NOT NULL REFERENCES decisions (seq),
    PRIMARY KEY (walkround, item)
) STRICT;

CREATE TABLE confirmed_actions (
    walkround TEXT NOT NULL REFERENCES walkrounds (id),
    item TEXT NOT NULL,
    component TEXT NOT NULL,
    machine_end TEXT,
    side TEXT,
    work TEXT NOT NULL,
    status TEXT NOT NULL,
    heard TEXT NOT NULL,
    drafted TEXT,
    body TEXT NOT NULL,                         -- types.Action as confirmed
    decision INTEGER NOT NULL REFERENCES decisions (seq),
    PRIMARY KEY (walkround, item)
) STRICT;

-- Plain views for people with a database browser.

CREATE VIEW trail AS
SELECT seq, walkround, item, kind, who, decided_at, why, body FROM decisions ORDER BY seq;

CREATE VIEW standing AS                         -- the last decision on each item, if any
SELECT known.walkround, known.item, last.seq AS decision, last.kind, last.who, last.decided_at,
       coalesce(last.kind, 'postpone') = 'postpone' AS waiting
FROM (SELECT walkround, item FROM items UNION SELECT walkround, item FROM decisions) AS known
LEFT JOIN decisions AS last ON last.seq = (
    SELECT max(seq) FROM decisions AS d WHERE d.walkround = known.walkround AND d.item = known.item
);

CREATE VIEW visits AS                           -- walkrounds of machines whose identity was confirmed
SELECT w.id AS walkround, w.inspected_on, m.registration, m.vin, m.odometer, m.odometer_unit
FROM walkrounds AS w JOIN machines AS m ON m.walkround = w.id;

CREATE VIEW found AS
SELECT v.registration, v.vin, w.inspected_on, v.odometer, v.odometer_unit,
       f.component, f.machine_end, f.side, f.condition, f.state, f.heard, f.drafted,
       d.kind AS decided, d.who, d.decided_at, d.why, w.id AS walkround, f.item
FROM confirmed_findings AS f JOIN walkrounds AS w ON w.id = f.walkround
JOIN decisions AS d ON d.seq = f.decision LEFT JOIN visits AS v ON v.walkround = w.id;

CREATE VIEW measured AS
SELECT v.registration, v.vin, w.inspected_on, v.odometer, v.odometer_unit,
       r.component, r.machine_end, r.side, r.quantity, r.value, r.unit, r.phase, r.heard, r.drafted,
       d.kind AS decided, d.who, d.decided_at, d.why, w.id AS walkround, r.item
FROM confirmed_readings AS r JOIN walkrounds AS w ON w.id = r.walkround
JOIN decisions AS d ON d.seq = r.decision LEFT JOIN visits AS v ON v.walkround = w.id;

CREATE VIEW worked_on AS
SELECT v.registration, v.vin, w.inspected_on, v.odometer, v.odometer_unit,
       a.component, a.machine_end, a.side, a.work, a.status, a.heard, a.drafted,
       d.kind AS decided, d.who, d.decided_at, d.why, w.id AS walkround, a.item
FROM confirmed_actions AS a JOIN walkrounds AS w ON w.id = a.walkround
JOIN decisions AS d ON d.seq = a.decision LEFT JOIN visits AS v ON v.walkround = w.id;
