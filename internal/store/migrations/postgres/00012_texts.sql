-- +goose Up

-- Listings in the dealer's own words: each version only ever added; the last of a watch, form, length and language holds.
CREATE TABLE texts (
    seq   BIGINT NOT NULL PRIMARY KEY,
    watch TEXT COLLATE "C" NOT NULL REFERENCES watches (id),
    of    TEXT COLLATE "C" NOT NULL,
    n     BIGINT NOT NULL,
    doc   TEXT NOT NULL,
    UNIQUE (watch, of, n)
);

CREATE TRIGGER texts_change BEFORE UPDATE OR DELETE OR TRUNCATE ON texts EXECUTE FUNCTION append_only();

-- +goose StatementBegin
CREATE FUNCTION texts_at_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM texts) THEN
        RAISE EXCEPTION 'texts is append-only: a new record goes at the end';
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER texts_insert BEFORE INSERT ON texts FOR EACH ROW EXECUTE FUNCTION texts_at_end();

INSERT INTO revision (part, n) VALUES ('texts', 0);
