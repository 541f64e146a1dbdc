-- One row: what tells this ledger from any other that may take its place. A copy has the same.
CREATE TABLE identity (
	value TEXT NOT NULL
) STRICT;

INSERT INTO identity VALUES (lower(hex(randomblob(16))));
