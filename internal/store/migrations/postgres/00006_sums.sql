-- +goose Up

-- A sum over each row of the other tables, kept by triggers that opening a store puts in place, so that
-- a check finds a row that was damaged on the disk. The log needs none: it has its hash tree.
CREATE TABLE sums (
    tbl TEXT COLLATE "C" NOT NULL,
    id  TEXT COLLATE "C" NOT NULL,
    sum TEXT COLLATE "C" NOT NULL,
    PRIMARY KEY (tbl, id)
);
