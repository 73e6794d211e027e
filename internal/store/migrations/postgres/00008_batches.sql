-- +goose Up

-- What was brought in together from one file, so that it can be taken back together.
CREATE TABLE batches (
    seq BIGINT NOT NULL PRIMARY KEY,
    id  TEXT   NOT NULL UNIQUE,
    doc TEXT   NOT NULL
);
