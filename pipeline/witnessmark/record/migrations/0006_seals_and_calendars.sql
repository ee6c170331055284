-- Version 6: hashes of rows that no body holds; what calendars say of follow-ups; lists of many machines sooner.

ALTER TABLE walkrounds ADD COLUMN seal TEXT NOT NULL DEFAULT '';     -- SHA-256 of the rest of the row, as JSON
ALTER TABLE sounds ADD COLUMN seal TEXT NOT NULL DEFAULT '';
ALTER TABLE photos ADD COLUMN seal TEXT NOT NULL DEFAULT '';
ALTER TABLE adopted ADD COLUMN seal TEXT NOT NULL DEFAULT '';

-- Follow-ups that came back from a calendar otherwise than they went. They change nothing that is confirmed.

CREATE TABLE calendar_entries (
    uid TEXT PRIMARY KEY,                       -- of the entry, RFC 5545
    walkround TEXT NOT NULL REFERENCES walkrounds (id),  -- on which the follow-up rests
    about TEXT NOT NULL,                        -- 'look' for looking again, or the item that is wanted
    sequence INTEGER NOT NULL,                  -- of two of the same uid the one with the higher sequence counts,
    stamp TEXT NOT NULL,                        -- and then the later one; UTC
    says TEXT CHECK (says IN ('done', 'moved', 'dropped')),  -- NULL: as it was exported
    day TEXT,                                   -- moved to, or done on; YYYY-MM-DD
    reckoned TEXT,                              -- the day that was exported; NULL for work without a day
    source TEXT NOT NULL,                       -- the file it came from
    adopted_at TEXT NOT NULL,                   -- UTC
    accepted INTEGER CHECK (accepted IN (0, 1)),-- NULL: nobody has answered
    answered INTEGER REFERENCES decisions (seq),
    seal TEXT NOT NULL DEFAULT ''
) STRICT;
CREATE INDEX calendar_entries_by_walkround ON calendar_entries (walkround);

CREATE VIEW said_by_calendars AS                -- NOT confirmed: what calendars say, and who accepted it
SELECT v.registration, v.vin, c.about, c.says, c.day, c.reckoned, c.accepted, a.who, a.decided_at, a.why, c.source,
       c.walkround, c.uid
FROM calendar_entries AS c LEFT JOIN visits AS v ON v.walkround = c.walkround
LEFT JOIN decisions AS a ON a.seq = c.answered WHERE c.says IS NOT NULL;

CREATE INDEX decisions_by_walkround ON decisions (walkround, seq);
CREATE INDEX entries_waiting ON entries (walkround) WHERE standing = 'waiting';
CREATE INDEX defects ON confirmed_findings (component, condition, walkround)
WHERE state = 'present' AND condition <> 'sound';
