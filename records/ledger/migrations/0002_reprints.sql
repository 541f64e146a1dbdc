-- One row for each job in which slips of a batch were printed once more.
CREATE TABLE reprints (
	id     INTEGER PRIMARY KEY,
	at     TEXT    NOT NULL, -- RFC 3339, UTC
	date   TEXT    NOT NULL,
	number INTEGER NOT NULL,
	kind   TEXT    NOT NULL CHECK (kind IN ('batch', 'stem', 'tray')), -- spare labels, stem labels, tray cards
	units  TEXT    NOT NULL, -- stems or trays, as in 17-23,40
	slips  INTEGER NOT NULL CHECK (slips > 0),
	FOREIGN KEY (date, number) REFERENCES batches
) STRICT;

CREATE INDEX reprints_of_batch ON reprints (date, number);

CREATE TRIGGER reprints_stay BEFORE DELETE ON reprints
BEGIN
	SELECT RAISE(ABORT, 'what was printed cannot be unprinted');
END;

CREATE TRIGGER reprints_keep BEFORE UPDATE ON reprints
BEGIN
	SELECT RAISE(ABORT, 'what was printed cannot be changed');
END;

-- Sheets of labels that were used in part.
CREATE TABLE sheets (
	key   TEXT PRIMARY KEY CHECK (key <> ''), -- the name in one letter case
	name  TEXT NOT NULL,
	stock TEXT NOT NULL CHECK (stock <> ''),
	free  TEXT NOT NULL, -- places, as in 3,5-8; empty when it is full
	used  INTEGER NOT NULL, -- how often it was printed on
	at    TEXT NOT NULL  -- of the last print, RFC 3339, UTC
) STRICT, WITHOUT ROWID;

-- One row for each time that batches were brought back from tray cards after
-- the ledger that had issued them was lost. It may have issued others, of days
-- up to the one in until; so no new batch is issued for these.
CREATE TABLE restorations (
	id    INTEGER PRIMARY KEY,
	at    TEXT NOT NULL, -- RFC 3339, UTC
	until TEXT NOT NULL CHECK (until GLOB '20[0-9][0-9]-[0-1][0-9]-[0-3][0-9]')
) STRICT;
