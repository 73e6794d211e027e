-- +goose Up

-- Addresses by which one client looks at one watch, under the hash of what stands in the address.
CREATE TABLE links (
    id     TEXT NOT NULL PRIMARY KEY,
    hash   TEXT NOT NULL UNIQUE,
    watch  TEXT NOT NULL REFERENCES watches (id),
    client TEXT NOT NULL,
    made   TEXT NOT NULL,
    doc    TEXT NOT NULL
);
CREATE INDEX links_watch ON links (watch, made);
CREATE INDEX links_client ON links (client, made);
