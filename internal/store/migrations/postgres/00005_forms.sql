-- +goose Up

-- The tokens of forms, each kept in the transaction of what its form recorded, so that a form that is
-- sent again records nothing. request tells one sending from another; led is the address that the
-- answer led to.
CREATE TABLE forms (
    token   TEXT COLLATE "C" NOT NULL PRIMARY KEY,
    request TEXT COLLATE "C" NOT NULL,
    at      TEXT COLLATE "C" NOT NULL,
    led     TEXT NOT NULL
);
CREATE INDEX forms_at ON forms (at);
