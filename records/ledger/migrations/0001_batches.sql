-- The mark by which a ledger is known among SQLite files: "GSLP".
PRAGMA application_id = 1196641360;

-- One row for each batch ever issued. Date and number are the batch's code;
-- stems 1 to grafts have been issued.
CREATE TABLE batches (
	date      TEXT    NOT NULL CHECK (date GLOB '20[0-9][0-9]-[0-1][0-9]-[0-3][0-9]'),
	number    INTEGER NOT NULL CHECK (number BETWEEN 1 AND 999),
	variety   TEXT    NOT NULL CHECK (variety <> ''),
	stock     TEXT    NOT NULL CHECK (stock <> ''),
	source    TEXT    NOT NULL,
	grafts    INTEGER NOT NULL CHECK (grafts BETWEEN 1 AND 8999),
	tray_size INTEGER NOT NULL CHECK (tray_size BETWEEN 0 AND 8999),
	stem      REAL    NOT NULL CHECK (stem >= 0), -- diameter in mm, 0 when not said
	wrap      TEXT    NOT NULL,
	grafter   TEXT    NOT NULL,
	note      TEXT    NOT NULL,
	issued_at TEXT    NOT NULL, -- RFC 3339, UTC
	PRIMARY KEY (date, number)
) STRICT, WITHOUT ROWID;

-- A code on a label in the field cannot be called back, so what it stands for
-- is fixed, whoever writes to this file.
CREATE TRIGGER batches_stay BEFORE DELETE ON batches
BEGIN
	SELECT RAISE(ABORT, 'a batch that was issued cannot be removed');
END;

CREATE TRIGGER batches_keep_their_meaning BEFORE UPDATE ON batches
WHEN new.date <> old.date OR new.number <> old.number OR new.variety <> old.variety OR new.stock <> old.stock
	OR new.source <> old.source OR new.tray_size <> old.tray_size OR new.grafts < old.grafts
BEGIN
	SELECT RAISE(ABORT, 'a code that was issued cannot stand for something else');
END;

-- INSERT OR REPLACE would remove a batch without a delete.
CREATE TRIGGER batches_are_new BEFORE INSERT ON batches
WHEN EXISTS (SELECT 1 FROM batches WHERE date = new.date AND number = new.number)
BEGIN
	SELECT RAISE(ABORT, 'a batch that was issued cannot be replaced');
END;
