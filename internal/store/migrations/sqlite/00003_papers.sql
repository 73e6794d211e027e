-- +goose Up

-- Papers that the shop made: each only ever added, numbered without a gap in its series.
-- content is what a paper about a client says, sealed with the client's key.
CREATE TABLE papers (
    seq     INTEGER NOT NULL PRIMARY KEY,
    id      TEXT    NOT NULL UNIQUE,
    series  TEXT    NOT NULL,
    number  INTEGER NOT NULL,
    watch   TEXT    NOT NULL REFERENCES watches (id),
    client  TEXT    NOT NULL,
    doc     TEXT    NOT NULL,
    content TEXT    NOT NULL,
    UNIQUE (series, number)
);
CREATE INDEX papers_watch ON papers (watch, seq);

-- +goose StatementBegin
CREATE TRIGGER papers_update BEFORE UPDATE ON papers
BEGIN SELECT RAISE(ABORT, 'papers is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER papers_delete BEFORE DELETE ON papers
BEGIN SELECT RAISE(ABORT, 'papers is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER papers_insert BEFORE INSERT ON papers
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM papers)
  OR NEW.number <> (SELECT COALESCE(MAX(number) + 1, 1) FROM papers WHERE series = NEW.series)
BEGIN SELECT RAISE(ABORT, 'papers is append-only: a new record goes at the end, with the next number of its series'); END;
-- +goose StatementEnd
