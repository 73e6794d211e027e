-- +goose Up

-- A sum over each row of the other tables, kept by triggers that opening a store puts in place, so that
-- a check finds a row that was damaged on the disk. The log needs none: it has its hash tree.
CREATE TABLE sums (
    tbl TEXT    NOT NULL,
    id  TEXT    NOT NULL,
    sum INTEGER NOT NULL,
    PRIMARY KEY (tbl, id)
) WITHOUT ROWID;
