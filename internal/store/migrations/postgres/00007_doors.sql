-- +goose Up

-- Tries to sign in, one row for each key that a try counts under. A try that succeeded is taken out.
CREATE TABLE tries (
    id      TEXT COLLATE "C" NOT NULL,
    subject TEXT COLLATE "C" NOT NULL,
    at      TEXT COLLATE "C" NOT NULL,
    PRIMARY KEY (id, subject)
);
CREATE INDEX tries_subject ON tries (subject, at);
CREATE INDEX tries_at ON tries (at);

-- Who came in, who was refused, and what was changed about the people of the shop.
CREATE TABLE sign_ins (
    seq     BIGINT NOT NULL PRIMARY KEY,
    at      TEXT COLLATE "C" NOT NULL,
    name    TEXT COLLATE "C" NOT NULL,
    address TEXT COLLATE "C" NOT NULL,
    actor   TEXT COLLATE "C" NOT NULL,
    what    TEXT COLLATE "C" NOT NULL
);

-- The servers that answer for the shop, each until a time that it puts off while it runs.
CREATE TABLE serving (
    id    TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    until TEXT COLLATE "C" NOT NULL
);

CREATE TRIGGER sign_ins_change BEFORE UPDATE OR DELETE OR TRUNCATE ON sign_ins EXECUTE FUNCTION append_only();
