-- Version 5: what owners said to work that was offered, as acts of the trail; who spoke a walkround.

ALTER TABLE walkrounds ADD COLUMN spoken_by TEXT;              -- NULL: not recorded

DROP VIEW acts_on_the_record;
CREATE VIEW acts_on_the_record AS               -- removals, redactions, exports and the like
SELECT seq, kind, walkround, who, decided_at, why, json_extract(body, '$.what') AS what
FROM decisions WHERE item IS NULL AND kind <> 'answer';

CREATE VIEW owners_answers AS                   -- to the lines of estimates; of several to a line the last counts
SELECT v.registration, v.vin, w.inspected_on, json_extract(a.body, '$.what.line') AS line,
       json_extract(a.body, '$.what.said') AS said, a.who, json_extract(a.body, '$.what.on') AS said_on,
       a.decided_at AS noted_at, a.walkround
FROM decisions AS a LEFT JOIN walkrounds AS w ON w.id = a.walkround LEFT JOIN visits AS v ON v.walkround = w.id
WHERE a.item IS NULL AND a.kind = 'answer' AND json_extract(a.body, '$.what.line') IS NOT NULL
ORDER BY a.seq;
