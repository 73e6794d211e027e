-- +goose Up

-- Listings in the dealer's own words: each version only ever added; the last of a watch, form, length and language holds.
CREATE TABLE texts (
    seq   INTEGER NOT NULL PRIMARY KEY,
    watch TEXT    NOT NULL REFERENCES watches (id),
    of    TEXT    NOT NULL,
    n     INTEGER NOT NULL,
    doc   TEXT    NOT NULL,
    UNIQUE (watch, of, n)
);

-- +goose StatementBegin
CREATE TRIGGER texts_update BEFORE UPDATE ON texts
BEGIN SELECT RAISE(ABORT, 'texts is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER texts_delete BEFORE DELETE ON texts
BEGIN SELECT RAISE(ABORT, 'texts is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER texts_insert BEFORE INSERT ON texts
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM texts)
BEGIN SELECT RAISE(ABORT, 'texts is append-only: a new record goes at the end'); END;
-- +goose StatementEnd

INSERT INTO revision (part, n) VALUES ('texts', 0);
