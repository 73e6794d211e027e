-- +goose Up

-- Addresses that hear of changes, how far they have heard, and what was sent to them.
CREATE TABLE hooks (
    id   TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    made TEXT NOT NULL,
    doc  TEXT NOT NULL
);

CREATE TABLE heard (
    one      BIGINT NOT NULL PRIMARY KEY,
    records  BIGINT NOT NULL,
    evidence BIGINT NOT NULL,
    entries  BIGINT NOT NULL,
    papers   BIGINT NOT NULL
);
INSERT INTO heard (one, records, evidence, entries, papers) VALUES (1, 0, 0, 0, 0);

CREATE TABLE deliveries (
    id   TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    hook TEXT COLLATE "C" NOT NULL,
    made TEXT NOT NULL,
    due  TEXT NOT NULL, -- empty: delivered, or given up
    doc  TEXT NOT NULL
);
CREATE INDEX deliveries_due ON deliveries (due);
CREATE INDEX deliveries_hook ON deliveries (hook, made);
