-- One row for each entry about plants after grafting. An entry that was wrong is
-- corrected by another, which names it.
CREATE TABLE observations (
	number      INTEGER PRIMARY KEY, -- by which people call it
	key         TEXT    NOT NULL UNIQUE CHECK (key <> ''), -- by which it is known again when it is sent twice
	at          TEXT    NOT NULL, -- when it was seen, RFC 3339, in the zone where it was seen
	entered_at  TEXT    NOT NULL, -- RFC 3339, UTC
	seen_by     TEXT    NOT NULL,
	date        TEXT    NOT NULL,
	batch       INTEGER NOT NULL,
	unit        INTEGER NOT NULL CHECK (unit BETWEEN 0 AND 9999), -- as in a code: 0 the batch, then stems, from 9001 trays
	stems       INTEGER NOT NULL CHECK (stems > 0), -- of the unit, then
	alive       INTEGER CHECK (alive BETWEEN 0 AND stems), -- NULL where it was not counted
	growing     INTEGER CHECK (growing BETWEEN 0 AND stems),
	rooted      INTEGER CHECK (rooted BETWEEN 0 AND stems),
	dead        INTEGER CHECK (dead BETWEEN 0 AND stems),
	out_of_mist INTEGER NOT NULL CHECK (out_of_mist IN (0, 1)),
	flushed     INTEGER NOT NULL CHECK (flushed IN (0, 1)),
	unwrapped   INTEGER NOT NULL CHECK (unwrapped IN (0, 1)),
	sold        INTEGER NOT NULL CHECK (sold >= 0),
	planted     INTEGER NOT NULL CHECK (planted >= 0),
	culled      INTEGER NOT NULL CHECK (culled >= 0),
	unused      INTEGER NOT NULL CHECK (unused >= 0),
	note        TEXT    NOT NULL,
	corrects    INTEGER UNIQUE REFERENCES observations, -- NULL for none
	FOREIGN KEY (date, batch) REFERENCES batches
) STRICT;

CREATE INDEX observations_of_batch ON observations (date, batch);

CREATE TRIGGER observations_stay BEFORE DELETE ON observations
BEGIN
	SELECT RAISE(ABORT, 'what was entered cannot be removed, only withdrawn by another entry');
END;

CREATE TRIGGER observations_keep BEFORE UPDATE ON observations
BEGIN
	SELECT RAISE(ABORT, 'what was entered cannot be changed, only corrected by another entry');
END;

-- INSERT OR REPLACE would remove an entry without a delete.
CREATE TRIGGER observations_are_new BEFORE INSERT ON observations
WHEN EXISTS (SELECT 1 FROM observations WHERE number = new.number OR key = new.key OR corrects = new.corrects)
BEGIN
	SELECT RAISE(ABORT, 'what was entered cannot be replaced');
END;

-- Phones that may use the page, known by a hash of what they carry.
CREATE TABLE phones (
	hash      TEXT PRIMARY KEY CHECK (hash <> ''), -- SHA-256, in hexadecimal digits
	name      TEXT NOT NULL, -- of who has it; may be empty
	opened_at TEXT NOT NULL, -- RFC 3339, UTC
	until     TEXT NOT NULL  -- RFC 3339, UTC
) STRICT, WITHOUT ROWID;
