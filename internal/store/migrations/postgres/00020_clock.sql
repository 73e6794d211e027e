-- +goose Up

-- What the machine's clock said when each part was last written; empty where nothing was since this column is there.
ALTER TABLE revision ADD COLUMN at TEXT COLLATE "C" NOT NULL DEFAULT '';
