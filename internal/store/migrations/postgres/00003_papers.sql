-- +goose Up

-- Papers that the shop made: each only ever added, numbered without a gap in its series.
-- content is what a paper about a client says, sealed with the client's key.
CREATE TABLE papers (
    seq     BIGINT NOT NULL PRIMARY KEY,
    id      TEXT COLLATE "C" NOT NULL UNIQUE,
    series  TEXT COLLATE "C" NOT NULL,
    number  BIGINT NOT NULL,
    watch   TEXT COLLATE "C" NOT NULL REFERENCES watches (id),
    client  TEXT COLLATE "C" NOT NULL,
    doc     TEXT NOT NULL,
    content TEXT NOT NULL,
    UNIQUE (series, number)
);
CREATE INDEX papers_watch ON papers (watch, seq);

CREATE TRIGGER papers_change BEFORE UPDATE OR DELETE OR TRUNCATE ON papers EXECUTE FUNCTION append_only();

-- +goose StatementBegin
CREATE FUNCTION papers_at_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM papers)
       OR NEW.number <> (SELECT COALESCE(MAX(number) + 1, 1) FROM papers WHERE series = NEW.series) THEN
        RAISE EXCEPTION 'papers is append-only: a new record goes at the end, with the next number of its series';
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER papers_insert BEFORE INSERT ON papers FOR EACH ROW EXECUTE FUNCTION papers_at_end();
