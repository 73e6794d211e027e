-- +goose Up

-- Sessions of browsers, by the hash of what the browser knows.
CREATE TABLE sessions (
    id    TEXT NOT NULL PRIMARY KEY,
    data  TEXT NOT NULL,
    until TEXT NOT NULL
);
CREATE INDEX sessions_until ON sessions (until);

-- Ways in beside the password: passkeys, codes that change, tokens of programs (by their hash).
CREATE TABLE credentials (
    id     TEXT NOT NULL PRIMARY KEY,
    person TEXT NOT NULL,
    kind   TEXT NOT NULL,
    name   TEXT NOT NULL,
    data   TEXT NOT NULL,
    made   TEXT NOT NULL,
    used   TEXT NOT NULL
);
CREATE INDEX credentials_person ON credentials (person, made);
