-- +goose Up

-- Movements of watches, entries of the ledger and showings to clients: each only ever
-- added, seq counted from 0 without a gap.
CREATE TABLE movements (
    seq    BIGINT NOT NULL PRIMARY KEY,
    id     TEXT COLLATE "C" NOT NULL UNIQUE,
    watch  TEXT COLLATE "C" NOT NULL REFERENCES watches (id),
    undoes TEXT COLLATE "C" NOT NULL,
    doc    TEXT NOT NULL
);
CREATE INDEX movements_watch ON movements (watch, seq);
CREATE UNIQUE INDEX movements_undoes ON movements (undoes) WHERE undoes <> '';

-- hash is the SHA-256 of the hash before, a line break and doc, in hex.
CREATE TABLE entries (
    seq      BIGINT NOT NULL PRIMARY KEY,
    id       TEXT COLLATE "C" NOT NULL UNIQUE,
    day      TEXT COLLATE "C" NOT NULL,
    reverses TEXT COLLATE "C" NOT NULL,
    doc      TEXT NOT NULL,
    hash     TEXT COLLATE "C" NOT NULL
);
CREATE UNIQUE INDEX entries_reverses ON entries (reverses) WHERE reverses <> '';

-- What an entry is about: w and the id of a watch, or p and the id of a client.
CREATE TABLE entry_subjects (
    kind    TEXT COLLATE "C" NOT NULL,
    subject TEXT COLLATE "C" NOT NULL,
    seq     BIGINT NOT NULL REFERENCES entries (seq),
    PRIMARY KEY (kind, subject, seq)
);

CREATE TABLE showings (
    seq    BIGINT NOT NULL PRIMARY KEY,
    id     TEXT COLLATE "C" NOT NULL UNIQUE,
    watch  TEXT COLLATE "C" NOT NULL REFERENCES watches (id),
    client TEXT COLLATE "C" NOT NULL,
    doc    TEXT NOT NULL
);
CREATE INDEX showings_watch ON showings (watch, seq);
CREATE INDEX showings_client ON showings (client, seq);

-- Who saw or changed client data.
CREATE TABLE client_access (
    seq    BIGINT NOT NULL PRIMARY KEY,
    at     TEXT COLLATE "C" NOT NULL,
    actor  TEXT COLLATE "C" NOT NULL,
    client TEXT COLLATE "C" NOT NULL,
    what   TEXT COLLATE "C" NOT NULL
);
CREATE INDEX client_access_client ON client_access (client, seq);

-- By which a change of any client shows quickly.
CREATE INDEX clients_version ON clients (version);

-- The key of each client's data, itself encrypted. Taking it away erases the client.
CREATE TABLE client_keys (
    id      TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    wrapped TEXT NOT NULL
);

CREATE TRIGGER movements_change BEFORE UPDATE OR DELETE OR TRUNCATE ON movements EXECUTE FUNCTION append_only();
CREATE TRIGGER entries_change BEFORE UPDATE OR DELETE OR TRUNCATE ON entries EXECUTE FUNCTION append_only();
CREATE TRIGGER entry_subjects_change BEFORE UPDATE OR DELETE OR TRUNCATE ON entry_subjects EXECUTE FUNCTION append_only();
CREATE TRIGGER showings_change BEFORE UPDATE OR DELETE OR TRUNCATE ON showings EXECUTE FUNCTION append_only();
CREATE TRIGGER client_access_change BEFORE UPDATE OR DELETE OR TRUNCATE ON client_access EXECUTE FUNCTION append_only();

-- +goose StatementBegin
CREATE FUNCTION movements_at_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM movements) THEN
        RAISE EXCEPTION 'movements is append-only: a new record goes at the end';
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER movements_insert BEFORE INSERT ON movements FOR EACH ROW EXECUTE FUNCTION movements_at_end();

-- +goose StatementBegin
CREATE FUNCTION entries_at_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM entries) THEN
        RAISE EXCEPTION 'entries is append-only: a new record goes at the end';
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER entries_insert BEFORE INSERT ON entries FOR EACH ROW EXECUTE FUNCTION entries_at_end();
