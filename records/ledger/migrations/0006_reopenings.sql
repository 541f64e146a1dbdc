-- One row for each time that days closed by restorations were opened again for new batches.
CREATE TABLE reopenings (
	id          INTEGER PRIMARY KEY,
	at          TEXT    NOT NULL, -- RFC 3339, UTC
	opened      TEXT    NOT NULL CHECK (opened GLOB '20[0-9][0-9]-[0-1][0-9]-[0-3][0-9]'), -- the first day that is open
	restoration INTEGER NOT NULL REFERENCES restorations, -- the last one before
	opened_by   TEXT    NOT NULL,
	reason      TEXT    NOT NULL CHECK (reason <> '')
) STRICT;

CREATE TRIGGER reopenings_stay BEFORE DELETE ON reopenings
BEGIN
	SELECT RAISE(ABORT, 'what was opened cannot be forgotten, only closed again');
END;

CREATE TRIGGER reopenings_keep BEFORE UPDATE ON reopenings
BEGIN
	SELECT RAISE(ABORT, 'what was opened cannot be changed, only closed again');
END;
