-- +goose Up

-- Movements of watches, entries of the ledger and showings to clients: each only ever
-- added, seq counted from 0 without a gap.
CREATE TABLE movements (
    seq    INTEGER NOT NULL PRIMARY KEY,
    id     TEXT NOT NULL UNIQUE,
    watch  TEXT NOT NULL REFERENCES watches (id),
    undoes TEXT NOT NULL,
    doc    TEXT NOT NULL
);
CREATE INDEX movements_watch ON movements (watch, seq);
CREATE UNIQUE INDEX movements_undoes ON movements (undoes) WHERE undoes <> '';

-- hash is the SHA-256 of the hash before, a line break and doc, in hex.
CREATE TABLE entries (
    seq      INTEGER NOT NULL PRIMARY KEY,
    id       TEXT NOT NULL UNIQUE,
    day      TEXT NOT NULL,
    reverses TEXT NOT NULL,
    doc      TEXT NOT NULL,
    hash     TEXT NOT NULL
);
CREATE UNIQUE INDEX entries_reverses ON entries (reverses) WHERE reverses <> '';

-- What an entry is about: w and the id of a watch, or p and the id of a client.
CREATE TABLE entry_subjects (
    kind    TEXT NOT NULL,
    subject TEXT NOT NULL,
    seq     INTEGER NOT NULL REFERENCES entries (seq),
    PRIMARY KEY (kind, subject, seq)
);

CREATE TABLE showings (
    seq    INTEGER NOT NULL PRIMARY KEY,
    id     TEXT NOT NULL UNIQUE,
    watch  TEXT NOT NULL REFERENCES watches (id),
    client TEXT NOT NULL,
    doc    TEXT NOT NULL
);
CREATE INDEX showings_watch ON showings (watch, seq);
CREATE INDEX showings_client ON showings (client, seq);

-- Who saw or changed client data.
CREATE TABLE client_access (
    seq    INTEGER NOT NULL PRIMARY KEY,
    at     TEXT NOT NULL,
    actor  TEXT NOT NULL,
    client TEXT NOT NULL,
    what   TEXT NOT NULL
);
CREATE INDEX client_access_client ON client_access (client, seq);

-- By which a change of any client shows quickly.
CREATE INDEX clients_version ON clients (version);

-- The key of each client's data, itself encrypted. Taking it away erases the client.
CREATE TABLE client_keys (
    id      TEXT NOT NULL PRIMARY KEY,
    wrapped TEXT NOT NULL
);

-- +goose StatementBegin
CREATE TRIGGER movements_update BEFORE UPDATE ON movements
BEGIN SELECT RAISE(ABORT, 'movements is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER movements_delete BEFORE DELETE ON movements
BEGIN SELECT RAISE(ABORT, 'movements is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entries_update BEFORE UPDATE ON entries
BEGIN SELECT RAISE(ABORT, 'entries is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entries_delete BEFORE DELETE ON entries
BEGIN SELECT RAISE(ABORT, 'entries is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entry_subjects_update BEFORE UPDATE ON entry_subjects
BEGIN SELECT RAISE(ABORT, 'entry_subjects is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entry_subjects_delete BEFORE DELETE ON entry_subjects
BEGIN SELECT RAISE(ABORT, 'entry_subjects is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER showings_update BEFORE UPDATE ON showings
BEGIN SELECT RAISE(ABORT, 'showings is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER showings_delete BEFORE DELETE ON showings
BEGIN SELECT RAISE(ABORT, 'showings is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER client_access_update BEFORE UPDATE ON client_access
BEGIN SELECT RAISE(ABORT, 'client_access is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER client_access_delete BEFORE DELETE ON client_access
BEGIN SELECT RAISE(ABORT, 'client_access is append-only: no delete'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER movements_insert BEFORE INSERT ON movements
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM movements)
BEGIN SELECT RAISE(ABORT, 'movements is append-only: a new record goes at the end'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER entries_insert BEFORE INSERT ON entries
WHEN NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM entries)
BEGIN SELECT RAISE(ABORT, 'entries is append-only: a new record goes at the end'); END;
-- +goose StatementEnd
