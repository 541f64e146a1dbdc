-- One row for each amendment of a batch: what its record has from then on, or that the batch
-- was never made (void), or which amendment is taken back. A batch stays as it was issued;
-- its amendments are laid over it when it is read.
CREATE TABLE amendments (
	id      INTEGER PRIMARY KEY, -- the number by which people call it
	at      TEXT    NOT NULL, -- RFC 3339, in the zone where it was made
	made_by TEXT    NOT NULL,
	date    TEXT    NOT NULL,
	number  INTEGER NOT NULL,
	grafted TEXT CHECK (grafted GLOB '20[0-9][0-9]-[0-1][0-9]-[0-3][0-9]'), -- NULL where it stays, as the fields below
	variety TEXT CHECK (variety <> ''),
	stock   TEXT CHECK (stock <> ''),
	source  TEXT,
	grafter TEXT,
	note    TEXT,
	void    INTEGER NOT NULL CHECK (void IN (0, 1)),
	reason  TEXT    NOT NULL, -- why it is void
	undoes  INTEGER UNIQUE REFERENCES amendments, -- NULL for none
	FOREIGN KEY (date, number) REFERENCES batches,
	CHECK (void + (undoes IS NOT NULL) + (coalesce(grafted, variety, stock, source, grafter, note) IS NOT NULL) = 1)
) STRICT;

CREATE INDEX amendments_of_batch ON amendments (date, number);

CREATE TRIGGER amendments_stay BEFORE DELETE ON amendments
BEGIN
	SELECT RAISE(ABORT, 'what was amended cannot be removed, only undone by another amendment');
END;

CREATE TRIGGER amendments_keep BEFORE UPDATE ON amendments
BEGIN
	SELECT RAISE(ABORT, 'what was amended cannot be changed, only undone by another amendment');
END;

-- INSERT OR REPLACE would remove an amendment without a delete.
CREATE TRIGGER amendments_are_new BEFORE INSERT ON amendments
WHEN EXISTS (SELECT 1 FROM amendments WHERE id = new.id OR undoes = new.undoes)
BEGIN
	SELECT RAISE(ABORT, 'what was amended cannot be replaced');
END;

-- The last amendment of the batch that labels and cards printed once more show, 0 for none.
ALTER TABLE reprints ADD COLUMN amendment INTEGER NOT NULL DEFAULT 0;
