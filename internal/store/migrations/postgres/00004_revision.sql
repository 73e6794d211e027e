-- +goose Up

-- How often each part of the records was changed, counted in the transaction of the change. What
-- a program holds in memory is brought up to date by it.
CREATE TABLE revision (
    part TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    n    BIGINT NOT NULL
);
INSERT INTO revision (part, n) VALUES
    ('watches', 0), ('evidence', 0), ('sales', 0), ('clients', 0), ('settings', 0),
    ('ledger', 0), ('showings', 0), ('papers', 0), ('opinions', 0), ('book', 0);
