-- One row for each job in which slips of a batch were printed once more.
CREATE TABLE reprints (
	id     INTEGER PRIMARY KEY,
	at     TEXT    NOT NULL, -- RFC 3339, UTC
	date   TEXT    NOT NULL,
	number INTEGER NOT NULL,
	kind   INTEGER NOT NULL CHECK (kind BETWEEN 1 AND 3), -- 1 spare labels, 2 stem labels, 3 tray cards
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
	name  TEXT PRIMARY KEY CHECK (name <> ''),
	stock TEXT NOT NULL CHECK (stock <> ''),
	free  TEXT NOT NULL, -- places, as in 3,5-8; empty when it is full
	at    TEXT NOT NULL  -- of the last print, RFC 3339, UTC
) STRICT, WITHOUT ROWID;

-- A batch that was brought back from its tray cards after the ledger that had
-- issued it was lost. Other codes of its day may have been issued, too.
ALTER TABLE batches ADD COLUMN restored INTEGER NOT NULL DEFAULT 0 CHECK (restored IN (0, 1));

CREATE INDEX batches_restored ON batches (date, issued_at) WHERE restored = 1;
