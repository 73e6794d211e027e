-- +goose Up

CREATE TABLE watches (
    id            TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    number        BIGINT           NOT NULL UNIQUE,
    version       BIGINT           NOT NULL,
    state         TEXT COLLATE "C" NOT NULL,
    maker_key     TEXT COLLATE "C" NOT NULL,
    reference_key TEXT COLLATE "C" NOT NULL,
    serial_key    TEXT COLLATE "C" NOT NULL,
    search        TEXT COLLATE "C" NOT NULL,
    doc           TEXT             NOT NULL
);
CREATE INDEX watches_serial ON watches (serial_key);

CREATE TABLE clients (
    id       TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    name_key TEXT COLLATE "C" NOT NULL,
    version  BIGINT           NOT NULL,
    doc      TEXT             NOT NULL
);

CREATE TABLE settings (
    name  TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    value TEXT             NOT NULL
);

CREATE TABLE sales (
    id       TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    date     TEXT COLLATE "C" NOT NULL,
    amount   TEXT             NOT NULL,
    currency TEXT             NOT NULL,
    doc      TEXT             NOT NULL
);
CREATE INDEX sales_date ON sales (date, id);

-- The evidence log: record seq, counted from 0 without a gap, over all watches.
CREATE TABLE log (
    seq   BIGINT           NOT NULL PRIMARY KEY,
    watch TEXT COLLATE "C" NOT NULL REFERENCES watches (id),
    id    TEXT COLLATE "C" NOT NULL,
    item  TEXT             NOT NULL,
    UNIQUE (watch, id)
);
CREATE INDEX log_watch ON log (watch, seq);

-- The stored hashes of the log's tree, n as golang.org/x/mod/sumdb/tlog counts them.
CREATE TABLE log_hashes (
    n    BIGINT NOT NULL PRIMARY KEY,
    hash TEXT   NOT NULL
);

-- Every change of a watch, client or setting, with what stood before and after.
CREATE TABLE history (
    seq        BIGINT           NOT NULL PRIMARY KEY,
    subject    TEXT COLLATE "C" NOT NULL,
    id         TEXT COLLATE "C" NOT NULL,
    version    BIGINT           NOT NULL,
    at         TEXT             NOT NULL,
    doc_before TEXT             NOT NULL,
    doc_after  TEXT             NOT NULL,
    UNIQUE (subject, id, version)
);

CREATE TABLE opinions (
    seq      BIGINT           NOT NULL PRIMARY KEY,
    watch    TEXT COLLATE "C" NOT NULL REFERENCES watches (id),
    as_of    TEXT             NOT NULL,
    formed   TEXT COLLATE "C" NOT NULL,
    evidence BIGINT           NOT NULL,
    doc      BYTEA            NOT NULL
);
CREATE INDEX opinions_watch ON opinions (watch, formed, seq);

-- The one row that every writer locks first, so that there is one writer at a time.
CREATE TABLE writer (
    one INTEGER NOT NULL PRIMARY KEY
);
INSERT INTO writer (one) VALUES (1);

-- +goose StatementBegin
CREATE FUNCTION append_only() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    RAISE EXCEPTION '% is append-only: no %', TG_TABLE_NAME, lower(TG_OP);
END $$;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE FUNCTION log_at_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM log) THEN
        RAISE EXCEPTION 'log is append-only: a new record goes at the end';
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd

-- +goose StatementBegin
CREATE FUNCTION log_hashes_at_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.n <> (SELECT COALESCE(MAX(n) + 1, 0) FROM log_hashes) THEN
        RAISE EXCEPTION 'log_hashes is append-only: a new hash goes at the end';
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd

CREATE TRIGGER log_insert BEFORE INSERT ON log FOR EACH ROW EXECUTE FUNCTION log_at_end();
CREATE TRIGGER log_hashes_insert BEFORE INSERT ON log_hashes FOR EACH ROW EXECUTE FUNCTION log_hashes_at_end();

CREATE TRIGGER log_change BEFORE UPDATE OR DELETE OR TRUNCATE ON log EXECUTE FUNCTION append_only();
CREATE TRIGGER log_hashes_change BEFORE UPDATE OR DELETE OR TRUNCATE ON log_hashes EXECUTE FUNCTION append_only();
CREATE TRIGGER history_change BEFORE UPDATE OR DELETE OR TRUNCATE ON history EXECUTE FUNCTION append_only();
CREATE TRIGGER opinions_change BEFORE UPDATE OR DELETE OR TRUNCATE ON opinions EXECUTE FUNCTION append_only();
