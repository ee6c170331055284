-- Version 4: what other records exported and this one took over. Never mixed with what was confirmed here.

CREATE TABLE adopted (
    walkround TEXT NOT NULL,                    -- as the other record names it
    item TEXT NOT NULL,
    source TEXT NOT NULL,                       -- the file or record that it came from
    standing TEXT NOT NULL CHECK (standing IN ('confirmed', 'withdrawn')),
    inspected_on TEXT NOT NULL,                 -- YYYY-MM-DD
    decided_at TEXT NOT NULL,                   -- UTC; of two lines on one item the later one counts
    registration_key TEXT,                      -- capitals and digits only, for looking up
    vin_key TEXT,
    body TEXT NOT NULL,                         -- one line of the exchange, docs/exchange.schema.json
    adopted_at TEXT NOT NULL,                   -- UTC
    PRIMARY KEY (walkround, item)
) STRICT;
CREATE INDEX adopted_by_registration ON adopted (registration_key);
CREATE INDEX adopted_by_vin ON adopted (vin_key);

CREATE VIEW from_elsewhere AS                   -- confirmed by others, in their records
SELECT json_extract(body, '$.registration') AS registration, json_extract(body, '$.vin') AS vin, inspected_on,
       json_extract(body, '$.component') AS component, json_extract(body, '$.end') AS machine_end,
       json_extract(body, '$.side') AS side, json_extract(body, '$.condition') AS condition,
       json_extract(body, '$.state') AS state, json_extract(body, '$.quantity') AS quantity,
       coalesce(json_extract(body, '$.value'), json_extract(body, '$.marking')) AS value,
       json_extract(body, '$.unit') AS unit, json_extract(body, '$.work') AS work,
       json_extract(body, '$.status') AS status, json_extract(body, '$.who') AS who, decided_at, source,
       walkround, item
FROM adopted WHERE standing = 'confirmed';
