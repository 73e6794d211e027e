-- +goose Up

-- Tries to sign in, one row for each key that a try counts under. A try that succeeded is taken out.
CREATE TABLE tries (
    id      TEXT NOT NULL,
    subject TEXT NOT NULL,
    at      TEXT NOT NULL,
    PRIMARY KEY (id, subject)
);
CREATE INDEX tries_subject ON tries (subject, at);
CREATE INDEX tries_at ON tries (at);

-- Who came in, who was refused, and what was changed about the people of the shop.
CREATE TABLE sign_ins (
    seq     INTEGER NOT NULL PRIMARY KEY,
    at      TEXT NOT NULL,
    name    TEXT NOT NULL,
    address TEXT NOT NULL,
    actor   TEXT NOT NULL,
    what    TEXT NOT NULL
);

-- The servers that answer for the shop, each until a time that it puts off while it runs.
CREATE TABLE serving (
    id    TEXT NOT NULL PRIMARY KEY,
    until TEXT NOT NULL
);

-- +goose StatementBegin
CREATE TRIGGER sign_ins_update BEFORE UPDATE ON sign_ins
BEGIN SELECT RAISE(ABORT, 'sign_ins is append-only: no update'); END;
-- +goose StatementEnd
-- +goose StatementBegin
CREATE TRIGGER sign_ins_delete BEFORE DELETE ON sign_ins
BEGIN SELECT RAISE(ABORT, 'sign_ins is append-only: no delete'); END;
-- +goose StatementEnd
