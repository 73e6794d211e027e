-- +goose Up

-- Addresses that hear of changes, how far they have heard, and what was sent to them.
CREATE TABLE hooks (
    id   TEXT NOT NULL PRIMARY KEY,
    made TEXT NOT NULL,
    doc  TEXT NOT NULL
);

CREATE TABLE heard (
    one      INTEGER NOT NULL PRIMARY KEY,
    records  INTEGER NOT NULL,
    evidence INTEGER NOT NULL,
    entries  INTEGER NOT NULL,
    papers   INTEGER NOT NULL
);
INSERT INTO heard (one, records, evidence, entries, papers) VALUES (1, 0, 0, 0, 0);

CREATE TABLE deliveries (
    id   TEXT NOT NULL PRIMARY KEY,
    hook TEXT NOT NULL,
    made TEXT NOT NULL,
    due  TEXT NOT NULL, -- empty: delivered, or given up
    doc  TEXT NOT NULL
);
CREATE INDEX deliveries_due ON deliveries (due);
CREATE INDEX deliveries_hook ON deliveries (hook, made);
