-- +goose Up

CREATE TABLE watches (
    id            TEXT    NOT NULL PRIMARY KEY,
    number        INTEGER NOT NULL UNIQUE,
    version       INTEGER NOT NULL,
    state         TEXT    NOT NULL,
    maker_key     TEXT    NOT NULL,
    reference_key TEXT    NOT NULL,
    serial_key    TEXT    NOT NULL,
    search        TEXT    NOT NULL,
    doc           TEXT    NOT NULL
);
CREATE INDEX watches_serial ON watches (serial_key);

CREATE TABLE clients (
    id       TEXT    NOT NULL PRIMARY KEY,
    name_key TEXT    NOT NULL,
    version  INTEGER NOT NULL,
    doc      TEXT    NOT NULL
);

CREATE TABLE settings (
    name  TEXT NOT NULL PRIMARY KEY,
    value TEXT NOT NULL
);

CREATE TABLE sales (
    id       TEXT NOT NULL PRIMARY KEY,
    date     TEXT NOT NULL,
    amount   TEXT NOT NULL,
    currency TEXT NOT NULL,
    doc      TEXT NOT NULL
);
CREATE INDEX sales_date ON sales (date, id);

-- The evidence log: record seq, counted from 0 without a gap, over all watches.
CREATE TABLE log (
    seq   INTEGER NOT NULL PRIMARY KEY,
    watch TEXT    NOT NULL REFERENCES watches (id),
    id    TEXT    NOT NULL,
    item  TEXT    NOT NULL,
    UNIQUE (watch, id)
);
CREATE INDEX log_watch ON log (watch, seq);

-- The stored hashes of the log's tree, n as golang.org/x/mod/sumdb/tlog counts them.
CREATE TABLE log_hashes (
    n    INTEGER NOT NULL PRIMARY KEY,
    hash TEXT    NOT NULL
);

-- Every change of a watch, client or setting, with what stood before and after.
CREATE TABLE history (
    seq        INTEGER NOT NULL PRIMARY KEY,
    subject    TEXT    NOT NULL,
    id         TEXT    NOT NULL,
    version    INTEGER NOT NULL,
    at         TEXT    NOT NULL,
    doc_before TEXT    NOT NULL,
    doc_after  TEXT    NOT NULL,
    UNIQUE (subject, id, version)
);

CREATE TABLE opinions (
    seq      INTEGER NOT NULL PRIMARY KEY,
    watch    TEXT    NOT NULL REFERENCES watches (id),
    as_of    TEXT    NOT NULL,
    formed   TEXT    NOT NULL,
    evidence INTEGER NOT NULL,
    doc      BLOB    NOT NULL
);
CREATE INDEX opinions_watch ON opinions (watch, formed, seq);

-- +goose StatementBegin
CREATE TRIGGER log_insert BEFORE INSERT ON log
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM log)
BEGIN SELECT RAISE(ABORT, 'log is append-only: a new record goes at the end'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_update BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'log is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_delete BEFORE DELETE ON log
BEGIN SELECT RAISE(ABORT, 'log is append-only: no delete'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER log_hashes_insert BEFORE INSERT ON log_hashes
WHEN NEW.n <> (SELECT COALESCE(MAX(n) + 1, 0) FROM log_hashes)
BEGIN SELECT RAISE(ABORT, 'log_hashes is append-only: a new hash goes at the end'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_hashes_update BEFORE UPDATE ON log_hashes
BEGIN SELECT RAISE(ABORT, 'log_hashes is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER log_hashes_delete BEFORE DELETE ON log_hashes
BEGIN SELECT RAISE(ABORT, 'log_hashes is append-only: no delete'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER history_update BEFORE UPDATE ON history
BEGIN SELECT RAISE(ABORT, 'history is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER history_delete BEFORE DELETE ON history
BEGIN SELECT RAISE(ABORT, 'history is append-only: no delete'); END;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE TRIGGER opinions_update BEFORE UPDATE ON opinions
BEGIN SELECT RAISE(ABORT, 'opinions is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER opinions_delete BEFORE DELETE ON opinions
BEGIN SELECT RAISE(ABORT, 'opinions is append-only: no delete'); END;
-- +goose StatementEnd
