-- +goose Up

-- Watches seen elsewhere, from which the book learns: each only ever added; a withdrawal is a record of its own.
CREATE TABLE examples (
    seq       BIGINT NOT NULL PRIMARY KEY,
    id        TEXT COLLATE "C" NOT NULL UNIQUE,
    withdraws TEXT COLLATE "C" NOT NULL,
    doc       TEXT NOT NULL
);
CREATE UNIQUE INDEX examples_withdraws ON examples (withdraws) WHERE withdraws <> '';

CREATE TRIGGER examples_change BEFORE UPDATE OR DELETE OR TRUNCATE ON examples EXECUTE FUNCTION append_only();

-- +goose StatementBegin
CREATE FUNCTION examples_at_end() RETURNS trigger LANGUAGE plpgsql AS $$
BEGIN
    IF NEW.seq <> (SELECT COALESCE(MAX(seq) + 1, 0) FROM examples) THEN
        RAISE EXCEPTION 'examples is append-only: a new record goes at the end';
    END IF;
    RETURN NEW;
END $$;
-- +goose StatementEnd
CREATE TRIGGER examples_insert BEFORE INSERT ON examples FOR EACH ROW EXECUTE FUNCTION examples_at_end();

INSERT INTO revision (part, n) VALUES ('examples', 0);
