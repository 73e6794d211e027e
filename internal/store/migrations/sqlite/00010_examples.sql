-- +goose Up

-- Watches seen elsewhere, from which the book learns: each only ever added; a withdrawal is a record of its own.
CREATE TABLE examples (
    seq       INTEGER NOT NULL PRIMARY KEY,
    id        TEXT    NOT NULL UNIQUE,
    withdraws TEXT    NOT NULL,
    doc       TEXT    NOT NULL
);
CREATE UNIQUE INDEX examples_withdraws ON examples (withdraws) WHERE withdraws <> '';

-- +goose StatementBegin
CREATE TRIGGER examples_update BEFORE UPDATE ON examples
BEGIN SELECT RAISE(ABORT, 'examples is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER examples_delete BEFORE DELETE ON examples
BEGIN SELECT RAISE(ABORT, 'examples is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER examples_insert BEFORE INSERT ON examples
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM examples)
BEGIN SELECT RAISE(ABORT, 'examples is append-only: a new record goes at the end'); END;
-- +goose StatementEnd

INSERT INTO revision (part, n) VALUES ('examples', 0);
