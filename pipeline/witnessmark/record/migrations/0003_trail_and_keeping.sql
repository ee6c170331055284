-- Version 3: a trail that stays whole when words in it have to go; unfinished intake; sound and its removal.

DROP VIEW worked_on;
DROP VIEW measured;
DROP VIEW found;
DROP VIEW visits;
DROP VIEW standing;
DROP VIEW trail;
DROP TRIGGER drafts_stay;
DROP TRIGGER transcripts_stay;

-- The trail. Rows are only ever added; each carries the hash of the one before. A row without an item is an
-- act on the record itself. What a later act names in its "changes" may be replaced once that act is there.

CREATE TABLE trail_rows (
    seq INTEGER PRIMARY KEY,
    body TEXT NOT NULL,                         -- types.Decision or an act, canonical JSON
    salt TEXT NOT NULL,                         -- goes when words of the body go
    sealed TEXT,                                -- SHA-256 of salt and body as made; NULL in rows of version 1
    draft TEXT NOT NULL,                        -- sha256 of the draft decided on; empty for an act
    previous TEXT NOT NULL,
    hash TEXT NOT NULL,
    walkround TEXT GENERATED ALWAYS AS (json_extract(body, '$.walkround')) REFERENCES walkrounds (id),
    item TEXT GENERATED ALWAYS AS (json_extract(body, '$.item')),
    kind TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.kind')),
    who TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.who')),
    decided_at TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.when')),
    why TEXT NOT NULL GENERATED ALWAYS AS (json_extract(body, '$.why'))
) STRICT;
INSERT INTO trail_rows (seq, body, salt, draft, previous, hash)
SELECT seq, body, '', draft, previous, hash FROM decisions ORDER BY seq;
DROP TABLE decisions;
ALTER TABLE trail_rows RENAME TO decisions;
CREATE INDEX decisions_by_item ON decisions (walkround, item, seq);
CREATE INDEX acts ON decisions (kind, seq) WHERE item IS NULL;

CREATE TRIGGER decisions_follow BEFORE INSERT ON decisions
WHEN new.seq IS NOT (SELECT coalesce(max(seq), 0) + 1 FROM decisions)
  OR new.previous IS NOT (SELECT value FROM meta WHERE key = 'last_hash')
BEGIN SELECT raise(ABORT, 'a decision must follow the last one'); END;
CREATE TRIGGER decisions_head AFTER INSERT ON decisions
BEGIN UPDATE meta SET value = new.hash WHERE key = 'last_hash'; END;
CREATE TRIGGER decisions_remain BEFORE DELETE ON decisions
BEGIN SELECT raise(ABORT, 'decisions are only ever added'); END;

CREATE VIEW allowed_changes AS                  -- what the last row of the trail, if it is an act, says may be replaced
SELECT json_extract(c.value, '$.of') AS sort, json_extract(c.value, '$.id') AS id
FROM decisions AS act, json_each(act.body, '$.changes') AS c
WHERE act.seq = (SELECT max(seq) FROM decisions) AND act.item IS NULL;

CREATE TRIGGER decisions_stay BEFORE UPDATE ON decisions
WHEN new.seq IS NOT old.seq OR new.sealed IS NOT old.sealed OR new.draft IS NOT old.draft
  OR new.previous IS NOT old.previous OR new.hash IS NOT old.hash OR new.walkround IS NOT old.walkround
  OR new.item IS NOT old.item OR new.kind IS NOT old.kind OR new.decided_at IS NOT old.decided_at
  OR NOT EXISTS (SELECT 1 FROM allowed_changes WHERE sort = 'decision' AND id = CAST(old.seq AS TEXT))
BEGIN SELECT raise(ABORT, 'decisions are only ever added'); END;
ALTER TABLE drafts ADD COLUMN salt TEXT NOT NULL DEFAULT '';         -- before body when it is hashed
ALTER TABLE transcripts ADD COLUMN salt TEXT NOT NULL DEFAULT '';
ALTER TABLE transcripts ADD COLUMN sha256 TEXT NOT NULL DEFAULT '';  -- of salt and body
UPDATE transcripts SET sha256 = digest(body);
CREATE TRIGGER drafts_stay BEFORE UPDATE ON drafts
WHEN new.walkround IS NOT old.walkround OR new.sha256 IS NOT old.sha256
  OR NOT EXISTS (SELECT 1 FROM allowed_changes WHERE sort = 'draft' AND id = old.walkround)
BEGIN SELECT raise(ABORT, 'drafts are never changed'); END;
CREATE TRIGGER transcripts_stay BEFORE UPDATE ON transcripts
WHEN new.recording IS NOT old.recording OR new.sha256 IS NOT old.sha256
  OR NOT EXISTS (SELECT 1 FROM allowed_changes WHERE sort = 'transcript' AND id = old.recording)
BEGIN SELECT raise(ABORT, 'transcripts are never changed'); END;

-- Erased walkrounds keep their number, id and day, and nothing that was said.

ALTER TABLE walkrounds ADD COLUMN erased_at TEXT;              -- UTC; NULL: it is there

-- The sound that reviewers hear lies in a file beside the record; its hash is here.

CREATE TABLE sounds (
    walkround TEXT PRIMARY KEY REFERENCES walkrounds (id),
    sha256 TEXT NOT NULL,
    size INTEGER NOT NULL,                      -- bytes
    kept_at TEXT NOT NULL,                      -- UTC
    removed_at TEXT                             -- UTC; NULL: it is there
) STRICT;

-- Intake that is not finished: what each step came to, so that it is not done again. Gone once the walkround is in.

CREATE TABLE steps (
    recording TEXT NOT NULL,                    -- sha256
    step TEXT NOT NULL,
    result TEXT NOT NULL,
    done_at TEXT NOT NULL,                      -- UTC
    PRIMARY KEY (recording, step)
) STRICT;
CREATE TABLE set_aside (                        -- recordings that could not be taken in
    source TEXT PRIMARY KEY,
    tries INTEGER NOT NULL,
    reason TEXT NOT NULL,
    last_at TEXT NOT NULL                       -- UTC
) STRICT;

-- Plain views for people with a database browser.

CREATE VIEW trail AS
SELECT seq, walkround, item, kind, who, decided_at, why, body FROM decisions ORDER BY seq;

CREATE VIEW standing AS                         -- the last decision on each item, if any
SELECT known.walkround, known.item, last.seq AS decision, last.kind, last.who, last.decided_at,
       coalesce(last.kind, 'postpone') = 'postpone' AS waiting
FROM (
    SELECT walkround, item FROM items
    UNION SELECT d.walkround, d.item FROM decisions AS d JOIN walkrounds AS w ON w.id = d.walkround
    WHERE d.item IS NOT NULL AND w.erased_at IS NULL
) AS known
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

CREATE VIEW still_waiting AS                    -- drafted or put back, and NOT confirmed
SELECT e.registration, w.inspected_on, e.component, e.machine_end, e.side, e.condition, e.state, e.quantity,
       e.value, e.unit, e.work, e.status, e.heard, e.walkround, e.item
FROM entries AS e JOIN walkrounds AS w ON w.id = e.walkround WHERE e.standing = 'waiting'
ORDER BY w.number, e.number;

CREATE VIEW turned_down AS                      -- what a reviewer rejected, and why
SELECT e.registration, w.inspected_on, e.component, e.machine_end, e.side, e.condition, e.state, e.quantity,
       e.value, e.unit, e.work, e.status, e.heard, s.who, s.decided_at, d.why, e.walkround, e.item
FROM entries AS e JOIN walkrounds AS w ON w.id = e.walkround
JOIN standing AS s ON s.walkround = e.walkround AND s.item = e.item JOIN decisions AS d ON d.seq = s.decision
WHERE e.standing = 'rejected';

CREATE VIEW acts_on_the_record AS               -- removals, redactions, exports and the like
SELECT seq, kind, walkround, who, decided_at, why, json_extract(body, '$.what') AS what
FROM decisions WHERE item IS NULL;

CREATE VIEW talks AS                            -- what was said, walkround by walkround
SELECT w.id AS walkround, w.inspected_on, w.taken_in_at, r.name AS file, r.duration AS seconds, t.text, t.model,
       s.kept_at AS sound_kept_at, s.removed_at AS sound_removed_at
FROM walkrounds AS w JOIN recordings AS r ON r.sha256 = w.recording JOIN transcripts AS t ON t.recording = r.sha256
LEFT JOIN sounds AS s ON s.walkround = w.id WHERE w.erased_at IS NULL;

CREATE VIEW pictures AS
SELECT p.walkround, w.inspected_on, p.seconds, p.media_type, p.size, p.who, p.added_at, p.sha256
FROM photos AS p JOIN walkrounds AS w ON w.id = p.walkround;
